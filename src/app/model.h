// app/model.h - one machine made ready to be asked: text and library read, knowledge, activity, faults, odds, the one predictor; each made when first needed.
//
// Owns:     everything it hands out, for its lifetime.
// Errors:   open(): bad text with places, names that are not there; an unknown profile shows at odds().
// Cost:     opening reads text only; activity() sweeps the decode (some 10 ms); the predictor fills its table at its first question.
// Threads:  one model, one thread.
// Start at: Model::open(); ModelShelf for many jobs at once.
#pragma once
#include <map>
#include <memory>
#include <string>
#include <vector>

#include "app/places.h"
#include "board/machine.h"
#include "fault/predictor.h"
#include "fault/prior.h"
#include "knowledge/knowledge.h"
#include "knowledge/prior.h"
#include "logic/activity.h"
#include "predict/predictor.h"

namespace halfsplit::app {

class Model {
 public:
  /// `amendments`: lines by which the machine in the job differs from its files; the machine's own kept ones come first.
  static Result<std::unique_ptr<Model>> open(const Places& places, const std::string& folder, const std::vector<std::string>& amendments = {});
  ~Model();

  const std::string& folder() const { return folder_; }
  const board::Machine& machine() const { return *machine_; }
  const parts::Library& library() const { return *library_; }
  const knowledge::Knowledge& knowledge() const { return *knowledge_; }
  std::shared_ptr<const logic::Activity> activity();
  const fault::Catalogue& catalogue();
  /// The same machine with these spares tried, told by their places: what can be wrong with them joins the catalogue behind everything else, so that
  /// ids stay. Shares all that doesn't change; another sitting may go on with this model.
  std::shared_ptr<Model> with_spares(std::vector<board::PartId> places) const;
  const std::vector<board::PartId>& spares() const { return spares_; }
  /// Hands the keeper of the table on.
  std::unique_ptr<predict::TableKeeper> take_keeper() { return std::move(keeper_); }
  const fault::Predictor& predictor();
  /// Says where the predictor may keep its table; counts only before the first predictor().
  void keep_table_in(std::unique_ptr<predict::TableKeeper> keeper) { keeper_ = std::move(keeper); }
  /// `learned`: what repairs have taught, or nothing for the packs alone.
  Result<fault::PriorOdds> odds(const knowledge::Circumstances& circumstances, const knowledge::Beliefs* learned = nullptr);

 private:
  Model() = default;
  std::string folder_;
  std::shared_ptr<const parts::Library> library_;
  std::shared_ptr<const board::Machine> machine_;
  std::shared_ptr<const knowledge::Knowledge> knowledge_;
  std::shared_ptr<const logic::Activity> activity_;
  std::vector<board::PartId> spares_;
  std::unique_ptr<fault::Catalogue> catalogue_;
  std::unique_ptr<predict::TableKeeper> keeper_;
  std::unique_ptr<fault::Predictor> predictor_;
};

/// Models that several jobs share, by folder and amendments; the first one asked for is opened.
class ModelShelf {
 public:
  explicit ModelShelf(const Places& places) : places_(places) {}
  Result<std::shared_ptr<Model>> open(const std::string& folder, const std::vector<std::string>& amendments);

 private:
  const Places& places_;
  std::map<std::string, std::shared_ptr<Model>> models_;
};

}  // namespace halfsplit::app
