#include "netlist/sketch.h"

#include <algorithm>
#include <map>
#include <set>

#include "netlist/buses.h"
#include "netlist/outline.h"

namespace halfsplit::netlist {
namespace {

using parts::PartType;
using parts::PinRole;
using parts::Template;

class Sketcher {
 public:
  Sketcher(const std::vector<Chip>& chips, const parts::Library& library) : chips_(chips), library_(library) {}

  Result<board::MachineSpec> run(const std::string& id, const std::string& title) {
    spec_.id = id;
    spec_.title = unit_.title = title;
    for (const Chip& chip : chips_)
      if (const Status added = add(chip); !added) return added.error();
    join_power();
    for (std::size_t i = 0; i < chips_.size(); ++i)
      for (std::uint16_t pin = 0; pin < types_[i]->pins.size(); ++pin) join_signal(i, pin);
    for (const std::string& name : order_) unit_.nets.push_back(nets_[name]);
    add_stand_ins();
    for (const auto& [ref, type] : {std::pair{"SUPPLY", "supply-unit"}, std::pair{"DISPLAY", "display"}, std::pair{"LEAD", "lead"}, std::pair{"MEDIUM", "medium"}, std::pair{"OPERATOR", "operator"}}) {
      board::PartSpec part;
      part.ref = ref;
      part.type = type;
      spec_.surroundings.push_back(part);
    }
    spec_.units.push_back(std::move(unit_));
    spec_.amendments = laid_joins(buses_of(spec_, library_));
    return std::move(spec_);
  }

 private:
  Status add(const Chip& chip) {
    const auto type = library_.type(chip.type);
    if (!type) return type.error();
    types_.push_back(*type);
    board::PartSpec part;
    part.ref = chip.ref;
    part.family = chip.family;
    part.value = chip.value.empty() ? chip.printed : chip.value;
    const bool logic = std::any_of((*type)->blocks.begin(), (*type)->blocks.end(), [](const auto& block) { return block.kind <= Template::box; });
    part.type = logic ? std::string(kOutlinePrefix) + (*type)->id : chip.type;
    if (logic && made_.insert(part.type).second) {
      auto own = parse_document(outline_of(**type), part.type);
      if (!own) return own.error();
      unit_.types.push_back(std::move(own).value());
    }
    unit_.parts.push_back(std::move(part));
    return Done{};
  }
  static const parts::Block* regulator_of(const PartType& type) {
    for (const auto& block : type.blocks)
      if (block.kind == Template::regulator) return &block;
    return nullptr;
  }

  void put(const std::string& net, std::size_t chip, std::uint16_t pin) {
    if (nets_.try_emplace(net).second) order_.push_back(net);
    nets_[net].name = net;
    nets_[net].pins.push_back({chips_[chip].ref, types_[chip]->pins[pin].number, {}});
  }
  static std::string rail_name(double volts) { return (volts > 0 ? "+" : "") + std::to_string(static_cast<int>(volts)) + "V"; }

  void join_power() {
    std::map<std::string, double> rails;
    std::set<std::string> regulated;
    for (std::size_t i = 0; i < chips_.size(); ++i) {
      const auto* regulator = regulator_of(*types_[i]);
      for (std::uint16_t pin = 0; pin < types_[i]->pins.size(); ++pin) {
        const auto& it = types_[i]->pins[pin];
        const auto in = [&](const char* port) { return regulator && regulator->port(port).front() == pin; };
        std::string net;
        if (in("out")) {
          const double volts = regulator->number("volts").value_or(5);
          net = rail_name(volts);
          rails[net] = volts;
          regulated.insert(net);
        } else if (in("in")) {
          const double volts = regulator->number("volts").value_or(5);
          net = "supply of " + chips_[i].ref;
          rails[net] = volts + (volts > 0 ? 4 : -4);
        } else if (it.role == PinRole::ground) {
          net = "GND";
        } else if (it.role == PinRole::supply) {
          const double volts = it.rail_v == 0 ? 5 : it.rail_v;
          net = rail_name(volts);
          rails[net] = volts;
        }
        if (!net.empty()) put(net, i, pin);
      }
    }
    if (nets_.count("GND") > 0) unit_.grounds.push_back("GND");
    for (const auto& [net, volts] : rails) {
      board::SupplySpec supply;
      supply.net = net;
      supply.volts = volts;
      if (net.find("supply of") == 0) supply.tolerance = 0.3;
      if (regulated.count(net) == 0) supply.from = "SUPPLY";
      unit_.supplies.push_back(std::move(supply));
    }
  }

  void join_signal(std::size_t chip, std::uint16_t pin) {
    const auto& it = types_[chip]->pins[pin];
    const bool held = rests_high(*types_[chip], pin);
    if (regulator_of(*types_[chip]) || (!held && !parts::listens(it.role) && !parts::can_drive(it.role))) return;
    const std::string net = "at " + chips_[chip].ref + "-" + it.number;
    put(net, chip, pin);
    if (parts::can_drive(it.role)) return;
    waiting_.push_back({net, chip, pin});
  }

  void add_stand_ins() {
    std::map<std::string, std::size_t> at;
    for (std::size_t i = 0; i < unit_.nets.size(); ++i) at[unit_.nets[i].name] = i;
    for (const auto& [net, chip, pin] : waiting_) {
      board::PartSpec part;
      part.ref = "?" + chips_[chip].ref + "-" + types_[chip]->pins[pin].number;
      part.type = rests_high(*types_[chip], pin) ? "unknown-driver-high" : "unknown-driver";
      part.value = chips_[chip].ref + "." + types_[chip]->pins[pin].number;
      unit_.nets[at[net]].pins.push_back({part.ref, "1", {}});
      unit_.parts.push_back(std::move(part));
    }
  }

  struct Waiting { std::string net; std::size_t chip; std::uint16_t pin; };
  const std::vector<Chip>& chips_;
  const parts::Library& library_;
  board::MachineSpec spec_;
  board::UnitSpec unit_;
  std::vector<const PartType*> types_;
  std::set<std::string> made_;
  std::map<std::string, board::NetSpec> nets_;
  std::vector<std::string> order_;
  std::vector<Waiting> waiting_;
};

}  // namespace

Result<board::MachineSpec> sketch_machine(const std::vector<Chip>& chips, const parts::Library& library, const std::string& id, const std::string& title) {
  return Sketcher(chips, library).run(id, title);
}

}  // namespace halfsplit::netlist
