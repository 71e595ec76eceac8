// knowledge/lesson.h - what one solved repair teaches, as plain data that names no person: who was to blame, how much, on what kind of machine.
//
// Shape:    one lesson a job, a few blames each; counts are whole millionths, so that sums are the same in any order and can be taken back exactly.
// Owns:     everything by value.
// Start at: Lesson, Population; collected in knowledge/experience.h, written by knowledge/lesson_text.h.
#pragma once
#include <compare>
#include <cstdint>
#include <string>
#include <vector>

namespace halfsplit::knowledge {

/// A count of culprits in millionths: half a count is 500,000.
using Micro = std::int64_t;
inline constexpr Micro kOne = 1'000'000;

/// Classes of faults that sit on no part of their own.
inline constexpr char kJointClass[] = "solder joint", kOutsideClass[] = "outside";
/// Technology of the joints of parts in sockets.
inline constexpr char kSocketed[] = "socketed";

/// Where a count belongs, from the widest level to the narrowest; technology and type may be empty.
struct Strand {
  std::string rate_class, technology, type, machine, position;
  friend auto operator<=>(const Strand&, const Strand&) = default;
  friend bool operator==(const Strand&, const Strand&) = default;
};

struct Blame {
  Strand strand;
  std::string mode;   ///< id of a failure mode, or words for one that no library lists; empty: not known
  Micro count = 0;    ///< 0 to kOne
  friend auto operator<=>(const Blame&, const Blame&) = default;
  friend bool operator==(const Blame&, const Blame&) = default;
};

/// What a machine consists of, as faults expected per repair story by the packs alone: the exposure that counts are held against.
struct Exposure {
  Strand strand;
  Micro expected = 0;
  friend auto operator<=>(const Exposure&, const Exposure&) = default;
  friend bool operator==(const Exposure&, const Exposure&) = default;
};
struct Population {
  std::string id;      ///< population_id() of the rest
  std::string machine, revision, profile;
  std::vector<Exposure> parts;  ///< sorted
  friend bool operator==(const Population&, const Population&) = default;
};

struct Lesson {
  std::string id;             ///< of the job, the same wherever it is merged
  std::int64_t version = 1;   ///< a later one replaces an earlier one
  bool withdrawn = false;     ///< the machine came back, or the closing was taken back: nothing is blamed
  std::string machine, revision, profile, population;
  std::string ending;         ///< "proven", "working-unproven", "partly"
  std::vector<Blame> blames;
  std::vector<std::string> seen;  ///< ids of the symptoms told when it came
  std::string source, licence;    ///< who says so, and under which terms
  std::string repair;         ///< the job as `.case` text; may be empty
  friend auto operator<=>(const Lesson&, const Lesson&) = default;
  friend bool operator==(const Lesson&, const Lesson&) = default;
};

/// 32 hex digits of everything but the id.
std::string population_id(const Population& population);
/// 32 hex digits of any text.
std::string long_hash(std::string_view text);

}  // namespace halfsplit::knowledge
