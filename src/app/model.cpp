#include "app/model.h"

#include "board/amendment.h"
#include "board/spec.h"
#include "predict/predictor.h"

namespace halfsplit::app {
namespace {

Result<board::MachineSpec> amended(board::MachineSpec spec, const std::vector<std::string>& lines, const parts::Library& library) {
  std::vector<board::Amendment> amendments;
  for (const std::string& line : lines) {
    auto amendment = board::parse_amendment(line);
    if (!amendment) return amendment.error();
    amendments.push_back(std::move(amendment).value());
  }
  return board::amend(std::move(spec), amendments, library);
}

}  // namespace

Result<std::unique_ptr<Model>> Model::open(const Places& places, const std::string& folder, const std::vector<std::string>& amendments) {
  std::unique_ptr<Model> out(new Model);
  out->folder_ = folder;
  auto library = parts::Library::open(places.parts());
  if (!library) return library.error();
  out->library_ = std::move(library).value();
  auto spec = board::load_spec(folder);
  if (!spec) return spec.error();
  if (!amendments.empty()) {
    spec = amended(std::move(spec).value(), amendments, *out->library_);
    if (!spec) return spec.error();
  }
  auto machine = board::build(*spec, out->library_);
  if (!machine) return machine.error();
  out->machine_ = std::move(machine).value();
  auto knowledge = knowledge::Knowledge::load(places.knowledge());
  if (!knowledge) return knowledge.error();
  out->knowledge_ = std::move(knowledge).value();
  return out;
}

Model::~Model() = default;

std::shared_ptr<const logic::Activity> Model::activity() {
  if (!activity_) activity_ = logic::Activity::build(*machine_);
  return activity_;
}

const fault::Catalogue& Model::catalogue() {
  if (!catalogue_) catalogue_ = std::make_unique<fault::Catalogue>(fault::Catalogue::build(*machine_, spares_));
  return *catalogue_;
}

std::shared_ptr<Model> Model::with_spares(std::vector<board::PartId> places) const {
  std::shared_ptr<Model> out(new Model);
  out->folder_ = folder_;
  out->library_ = library_;
  out->machine_ = machine_;
  out->knowledge_ = knowledge_;
  out->activity_ = activity_;
  out->spares_ = std::move(places);
  return out;
}

const fault::Predictor& Model::predictor() {
  if (!predictor_) predictor_ = predict::make_predictor(*machine_, catalogue(), knowledge_->evidence(), activity(), keeper_.get());
  return *predictor_;
}

Result<fault::PriorOdds> Model::odds(const knowledge::Circumstances& circumstances, const knowledge::Beliefs* learned) {
  return knowledge::prior_odds(*knowledge_, catalogue(), *machine_, circumstances, learned);
}

Result<std::shared_ptr<Model>> ModelShelf::open(const std::string& folder, const std::vector<std::string>& amendments) {
  std::string key = folder;
  for (const std::string& line : amendments) key += '\n' + line;
  auto& kept = models_[key];
  if (!kept) {
    auto made = Model::open(places_, folder, amendments);
    if (!made) return made.error();
    kept = std::move(made).value();
  }
  return kept;
}

}  // namespace halfsplit::app
