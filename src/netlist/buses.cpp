#include "netlist/buses.h"

#include <fmt/core.h>

#include <algorithm>
#include <map>
#include <set>

#include "base/text.h"
#include "netlist/outline.h"

namespace halfsplit::netlist {
namespace {

using parts::Block;
using parts::PartType;
using parts::Template;
using Pins = std::vector<std::uint16_t>;

// Chances that two chips share a bus lane by lane, counted on published boards of several makers; laid in from kLaid on.
constexpr double kAddress = 0.96, kRegister = 0.95, kBank = 0.97, kData = 0.6, kMemories = 0.7, kBuffer = 0.15;
// Of a lane: does it beep where the bus is joined, and by chance where it isn't.
constexpr double kBeepsJoined = 0.98, kBeepsElse = 0.2;

struct Chip {
  std::string ref;
  const PartType* type = nullptr;
};

const Block* block_of(const PartType& type, Template kind) {
  for (const Block& block : type.blocks)
    if (block.kind == kind) return &block;
  return nullptr;
}
bool is_memory(const Block& block, std::string_view kind) { return block.kind == Template::memory && block.word("kind").value_or("sram") == kind; }
const Block* memory_of(const PartType& type, std::string_view kind) {
  for (const Block& block : type.blocks)
    if (is_memory(block, kind)) return &block;
  return nullptr;
}

Pins pins_in(const std::vector<parts::Expression>& terms) {
  Pins out;
  for (const auto& term : terms)
    for (const auto& node : term.nodes)
      if (node.op == parts::Expression::Op::pin) out.push_back(node.pin);
  return out;
}

/// The two sides of a two-way buffer, in the order of its gates.
std::pair<Pins, Pins> sides_of(const PartType& type) {
  std::pair<Pins, Pins> out;
  for (const Block& block : type.blocks) {
    if (block.kind != Template::gate) continue;
    const Pins& drives = block.port("out");
    for (std::size_t i = 0; i < drives.size(); ++i) {
      const parts::Expression& is = block.term("is")[i];
      if (is.nodes.size() != 1 || is.nodes[0].op != parts::Expression::Op::pin) continue;
      const std::uint16_t from = is.nodes[0].pin;
      const bool two_way = type.pins[drives[i]].role == parts::PinRole::bidirectional && type.pins[from].role == parts::PinRole::bidirectional;
      if (!two_way || std::find(out.first.begin(), out.first.end(), drives[i]) != out.first.end()) continue;
      out.first.push_back(from);
      out.second.push_back(drives[i]);
    }
  }
  return out;
}

class Finder {
 public:
  explicit Finder(std::vector<Chip> chips) : chips_(std::move(chips)) {}

  std::vector<Bus> run() {
    const Chip* processor = only_processor();
    if (processor) {
      const Block& core = *block_of(*processor->type, Template::processor);
      for (const Chip& chip : chips_) to_processor(*processor, core, chip);
    }
    banks();
    if (processor) buffers(*processor, block_of(*processor->type, Template::processor)->port("data"));
    return std::move(out_);
  }

 private:
  const Chip* only_processor() const {
    const Chip* out = nullptr;
    for (const Chip& chip : chips_)
      if (block_of(*chip.type, Template::processor)) {
        if (out) return nullptr;
        out = &chip;
      }
    return out;
  }

  void add(const char* title, const Chip& a, const Pins& left, const Chip& b, const Pins& right, double prior) {
    Bus bus;
    bus.title = title;
    bus.a = a.ref;
    bus.b = b.ref;
    bus.prior = bus.chance = prior;
    bus.laid = prior >= kClaimed;
    for (std::size_t i = 0; i < std::min(left.size(), right.size()); ++i)
      bus.lanes.push_back({a.ref + "." + a.type->pins[left[i]].number, b.ref + "." + b.type->pins[right[i]].number, Lane::Read::no});
    if (!bus.lanes.empty()) out_.push_back(std::move(bus));
  }

  void to_processor(const Chip& processor, const Block& core, const Chip& chip) {
    for (const Block& block : chip.type->blocks) {
      if (is_memory(block, "rom") || is_memory(block, "sram")) {
        add("address", processor, core.port("address"), chip, block.port("address"), kAddress);
        add("data", processor, core.port("data"), chip, block.port("data").empty() ? block.port("out") : block.port("data"), kData);
      }
      if (block.kind == Template::peripheral) {
        add("register select", processor, core.port("address"), chip, block.port("address"), kRegister);
        add("data", processor, core.port("data"), chip, block.port("data"), kData);
      }
    }
  }

  /// Dynamic memories of one type: addresses, row strobe and write go round the bank.
  void banks() {
    std::map<std::string, const Chip*> first;
    for (const Chip& chip : chips_) {
      const Block* block = memory_of(*chip.type, "dram");
      if (!block) continue;
      const auto [at, fresh] = first.try_emplace(chip.type->id, &chip);
      if (fresh) continue;
      add("address", *at->second, block->port("address"), chip, block->port("address"), kBank);
      add("row strobe", *at->second, pins_in(block->term("row")), chip, pins_in(block->term("row")), kBank);
      add("write", *at->second, pins_in(block->term("write")), chip, pins_in(block->term("write")), kBank);
    }
  }

  /// Data lines over a two-way buffer: either side, in the order of its numbers or the other way round.
  void buffers(const Chip& processor, const Pins& data) {
    for (const Chip& buffer : chips_) {
      const auto [a, b] = sides_of(*buffer.type);
      if (a.size() != data.size()) continue;
      for (const Pins* side : {&a, &b}) {
        const Pins back(side->rbegin(), side->rend());
        for (const Pins* order : {static_cast<const Pins*>(side), &back}) {
          add("data", processor, data, buffer, *order, kBuffer);
          for (const Chip& chip : chips_) {
            const Pins far = data_of(chip);
            if (chip.ref != buffer.ref && far.size() == order->size()) add("data", buffer, *order, chip, far, kBuffer);
          }
        }
      }
    }
  }
  static Pins data_of(const Chip& chip) {
    for (const Block& block : chip.type->blocks) {
      if (is_memory(block, "rom") || is_memory(block, "sram")) return block.port("data").empty() ? block.port("out") : block.port("data");
      if (block.kind == Template::peripheral) return block.port("data");
    }
    return {};
  }

  std::vector<Chip> chips_;
  std::vector<Bus> out_;
};

std::string in_order(const std::string& a, const std::string& b) { return a < b ? a + " " + b : b + " " + a; }

/// A bus is right or wrong as a whole: its lanes share the doubt.
double lane_chance(const Bus& bus, double chance) { return 1 - (1 - chance) / static_cast<double>(bus.lanes.size()); }

std::map<std::string, bool> last_of(const std::vector<Contact>& contacts) {
  std::map<std::string, bool> out;
  for (const Contact& contact : contacts) out[in_order(contact.a, contact.b)] = contact.beeps;
  return out;
}

}  // namespace

bool Bus::settled() const {
  const bool silent = std::any_of(lanes.begin(), lanes.end(), [](const Lane& lane) { return lane.read == Lane::Read::silent; });
  return !silent && lanes.front().read == Lane::Read::beeps && lanes.back().read == Lane::Read::beeps;
}
bool Bus::untouched() const {
  return std::all_of(lanes.begin(), lanes.end(), [](const Lane& lane) { return lane.read == Lane::Read::no; });
}
const Lane* Bus::next() const {
  if (settled() || refuted()) return nullptr;
  if (lanes.front().read == Lane::Read::no) return &lanes.front();
  if (lanes.back().read == Lane::Read::no) return &lanes.back();
  return nullptr;
}

std::vector<Bus> buses_of(const board::MachineSpec& spec, const parts::Library& library) {
  std::vector<Chip> chips;
  for (const board::UnitSpec& unit : spec.units)
    for (const board::PartSpec& part : unit.parts) {
      if (!starts_with(part.type, kOutlinePrefix)) continue;
      const auto type = library.type(part.type.substr(kOutlinePrefix.size()));
      if (type) chips.push_back({part.ref, *type});
    }
  return Finder(std::move(chips)).run();
}

void weigh(std::vector<Bus>& buses, const std::vector<Contact>& contacts) {
  const auto last = last_of(contacts);
  for (Bus& bus : buses) {
    double joined = bus.prior, other = 1 - bus.prior;
    for (Lane& lane : bus.lanes) {
      const auto read = last.find(in_order(lane.a, lane.b));
      lane.read = read == last.end() ? Lane::Read::no : read->second ? Lane::Read::beeps : Lane::Read::silent;
      if (lane.read == Lane::Read::no) continue;
      joined *= lane.read == Lane::Read::beeps ? kBeepsJoined : 1 - kBeepsJoined;
      other *= lane.read == Lane::Read::beeps ? kBeepsElse : 1 - kBeepsElse;
    }
    bus.chance = joined / (joined + other);
  }
}

std::vector<std::string> laid_joins(const std::vector<Bus>& buses) {
  std::map<std::string, std::size_t> at;
  std::vector<std::vector<std::string>> nets;
  std::vector<double> likely;
  for (const Bus& bus : buses) {
    if (!bus.laid) continue;
    for (const Lane& lane : bus.lanes) {
      const auto [it, fresh] = at.try_emplace(lane.a, nets.size());
      if (fresh) {
        nets.push_back({lane.a});
        likely.push_back(lane_chance(bus, bus.prior));
      }
      nets[it->second].push_back(lane.b);
      likely[it->second] = std::min(likely[it->second], lane_chance(bus, bus.prior));
    }
  }
  std::vector<std::string> out;
  for (std::size_t i = 0; i < nets.size(); ++i) out.push_back(fmt::format("join {} likely {:.4f}", join(nets[i], " "), likely[i]));
  return out;
}

std::vector<std::string> found_joins(const std::vector<Bus>& buses, const std::vector<Contact>& contacts) {
  std::vector<std::string> cuts, joins, found;
  std::set<std::string> cut;
  for (const Bus& bus : buses) {
    const bool dropped = bus.laid && bus.dropped();
    for (const Lane& lane : bus.lanes) {
      const bool silent = lane.read == Lane::Read::silent;
      if (bus.laid && (silent || (dropped && lane.read == Lane::Read::no)) && cut.insert(lane.b).second) cuts.push_back("found cut " + lane.b);
    }
    if (bus.chance < kClaimed || bus.untouched()) continue;
    for (const Lane& lane : bus.lanes)
      if (lane.read == Lane::Read::no) joins.push_back(fmt::format("found join {} {} likely {:.4f}", lane.a, lane.b, std::min(lane_chance(bus, bus.chance), 0.9999)));
  }
  for (const auto& [pair, beeps] : last_of(contacts))
    if (beeps) found.push_back("found join " + pair);
  // A beep outweighs a bus: it comes last.
  std::vector<std::string> out = std::move(cuts);
  out.insert(out.end(), joins.begin(), joins.end());
  out.insert(out.end(), found.begin(), found.end());
  return out;
}

}  // namespace halfsplit::netlist
