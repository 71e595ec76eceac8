#include "board/machine.h"

#include <algorithm>

#include "board/machine_data.h"

namespace halfsplit::board {

Machine::Machine(std::unique_ptr<const Data> data) : data_(std::move(data)) {
  HS_REQUIRE(data_ && data_->library && data_->signals, "a Machine is made from complete data");
}
Machine::~Machine() = default;

const std::string& Machine::id() const { return data_->id; }
const std::string& Machine::title() const { return data_->title; }
const std::string& Machine::revision() const { return data_->revision; }
std::uint64_t Machine::hash() const { return data_->hash; }
const std::vector<Part>& Machine::parts() const { return data_->parts; }
const std::vector<Pin>& Machine::pins() const { return data_->pins; }
const std::vector<Net>& Machine::nets() const { return data_->nets; }
const std::vector<Function>& Machine::functions() const { return data_->functions; }
const std::vector<Question>& Machine::questions() const { return data_->questions; }
const std::vector<Zone>& Machine::zones() const { return data_->zones; }
const std::vector<std::string>& Machine::units() const { return data_->units; }
const parts::Library& Machine::library() const { return *data_->library; }

Result<PartId> Machine::find_part(std::string_view ref) const { return board::find_part(*data_, ref); }
Result<PinId> Machine::find_pin(std::string_view text) const { return board::find_pin(*data_, text); }
Result<NetId> Machine::find_net(std::string_view name) const { return board::find_net(*data_, name); }

std::string Machine::name_of(PinId id) const { return part(pin(id).part).ref + "." + pin_type(id).number; }

std::string Machine::long_name_of(PinId id) const {
  const parts::Pin& type = pin_type(id);
  const bool same = type.name.empty() || (type.name == type.number && !type.active_low);
  return same ? name_of(id) : name_of(id) + " (" + type.shown() + ")";
}

std::vector<PartId> Machine::plug_contacts(PartId connector) const {
  std::vector<PartId> out;
  for (const auto& [plugged, contacts] : data_->plugs)
    if (plugged == connector || contacts == connector) out.push_back(contacts);
  std::sort(out.begin(), out.end());
  out.erase(std::unique(out.begin(), out.end()), out.end());
  return out;
}

}  // namespace halfsplit::board
