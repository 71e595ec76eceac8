// report/proof.h - the proof list as people read it: what doesn't work, what is to be tried now, what waits for reassembly, what is proven and by what.
#pragma once
#include <cstdint>
#include <iosfwd>
#include <string>
#include <vector>

#include "base/json.h"
#include "report/slip.h"

namespace halfsplit::report {

struct ProofRow {
  std::string subject;   ///< function, part, pin, cover, bridge, change
  std::string name;      ///< "picture", "J10"
  std::string title;     ///< "picture on the display", "J10 was unplugged"
  std::string standing;  ///< proven, partly, stale, failing, owed, aside, stays
  bool key = false;      ///< a key: told in a row with the others
  bool now = true;       ///< can be tried as the bench stands
  std::string first;     ///< what has to be put back before; empty where nothing is in the way
  std::string text;      ///< what proves it, or what is owed
  std::size_t line = 0;  ///< of the job, from 1; 0 = nothing was heard
  std::size_t epoch = 0;
  std::string when;
  bool is_owed() const { return standing == "owed" || standing == "partly" || standing == "stale" || standing == "failing"; }
};
struct Proof {
  Slip slip;
  std::vector<ProofRow> rows;
  std::vector<std::string> reassembly;  ///< the way back where something is apart, first step first
  std::size_t proven = 0, owed = 0;
};
void print(std::ostream& out, const Proof& proof, const Style& style);
Json json_of(const Proof& proof);

/// Rows of one text told together: "key Q, W, E: not tried yet".
struct ProofGroup { std::string names, text; };
std::vector<ProofGroup> grouped(const std::vector<ProofRow>& rows);
/// "3 proven, 52 owed"; "everything proven".
std::string proof_sum(const Proof& proof);

}  // namespace halfsplit::report
