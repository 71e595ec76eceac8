#include <fmt/core.h>

#include "board/amendment.h"
#include "board/assembly.h"

namespace halfsplit::board {

const Place& place_of(const std::vector<Place>& places, std::size_t i, const Place& otherwise) { return i < places.size() ? places[i] : otherwise; }

Assembly::Assembly(const MachineSpec& spec, std::shared_ptr<const parts::Library> library)
    : spec_(spec), library_(std::move(library)), data_(std::make_unique<Machine::Data>()) {
  data_->library = library_;
}

void Assembly::fail(Error error, const Place& place) {
  error.code = ErrorCode::bad_input;
  error.place = place;
  errors_.add(std::move(error));
}

std::string Assembly::pin_name(PinId id) const { return part(data_->pins[id.index()].part).ref + "." + data_->pin_type(id).number; }

Result<std::shared_ptr<const Machine>> Assembly::run() {
  data_->id = spec_.id;
  data_->title = spec_.title;
  data_->revision = spec_.revision;
  add_units();
  for (std::size_t unit = 0; unit < spec_.units.size(); ++unit) add_parts(unit);
  add_surroundings();
  name_parts();
  for (std::size_t unit = 0; unit < spec_.units.size(); ++unit) add_nets(unit);
  name_nets();
  data_->index_names();
  for (std::size_t unit = 0; unit < spec_.units.size(); ++unit) add_power(unit);
  for (const MateSpec& mate : spec_.mates) add_mate(mate);
  data_->index_names();
  for (const FunctionSpec& function : spec_.functions) add_function(function);
  for (const QuestionSpec& question : spec_.questions) add_question(question);
  for (const ZoneSpec& zone : spec_.zones) add_zone(zone);
  if (!errors_.empty()) return errors_.joined();
  find_feeds();
  data_->index_signals();
  data_->hash = prediction_hash(*data_);
  return std::shared_ptr<const Machine>(std::make_shared<const Machine>(std::move(data_)));
}

Result<std::shared_ptr<const Machine>> build(const MachineSpec& spec, std::shared_ptr<const parts::Library> library) {
  HS_REQUIRE(library, "a machine is built with a part library");
  if (spec.amended) return Assembly(spec, std::move(library)).run();
  const Result<MachineSpec> amended = amend(spec, {}, *library);
  if (!amended.ok()) return amended.error();
  return Assembly(*amended, std::move(library)).run();
}

Result<std::shared_ptr<const Machine>> load_machine(const std::string& folder, std::shared_ptr<const parts::Library> library) {
  const Result<MachineSpec> spec = load_spec(folder);
  if (!spec.ok()) return spec.error();
  return build(*spec, std::move(library));
}

}  // namespace halfsplit::board
