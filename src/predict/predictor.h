// predict/predictor.h - the one predictor: activity, a meter's view of it, looks and functions, answered for every hypothesis.
//
// Shape:    answers for all single faults in the untouched setup are kept in one table (about 3 MB at 300 parts); other setups and
//           larger hypotheses are simulated when asked.
// Owns:     the compiled activity network and the table; the machine, catalogue and evidence table must live longer.
// Threads:  one predictor a thread (the table fills itself lazily).
// Start at: make_predictor(); used through fault::Predictor.
#pragma once
#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include "fault/predictor.h"
#include "logic/activity.h"

namespace halfsplit::predict {

/// Where the table may be kept between runs of the program; what is kept must have been made for the same machine by the same program.
class TableKeeper {
 public:
  virtual ~TableKeeper() = default;
  virtual std::optional<std::string> load() = 0;
  virtual void keep(std::string_view bytes) = 0;
};

/// `keeper` may be nothing; else it must live as long as the predictor.
std::unique_ptr<fault::Predictor> make_predictor(const board::Machine& machine, const fault::Catalogue& catalogue, const fault::EvidenceTable& evidence,
                                                 std::shared_ptr<const logic::Activity> activity, TableKeeper* keeper = nullptr);

}  // namespace halfsplit::predict
