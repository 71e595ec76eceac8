#include "predict/offers.h"

#include <algorithm>

#include "parts/stand_in.h"
#include "predict/keys.h"

namespace halfsplit::predict {
namespace {

using board::PinId;
using fault::Query;
using observe::Kind;
using observe::Point;

class Offers {
 public:
  Offers(const board::Setup& setup, const logic::Activity& activity) : setup_(setup), machine_(activity.machine()), activity_(activity) {}
  std::vector<Query> of(const std::vector<Kind>& kinds) {
    for (const Kind kind : kinds) {
      if (kind == Kind::function) add_functions();
      else if (kind == Kind::probe) add_legs();
      else if (kind == Kind::volts_dc) add_rails();
      else if (kind == Kind::triggered) add_cycles();
      else if (kind == Kind::content) add_contents();
      else if (kind == Kind::memory) add_reports();
      else if (kind == Kind::look || kind == Kind::touch || kind == Kind::part_test || kind == Kind::smell || kind == Kind::piggyback || kind == Kind::dump) add_parts(kind);
    }
    return std::move(out_);
  }

 private:
  /// Of keys those that bring in a line not tried by one before: keys on the same lines tell the same, unless the key itself is bad, which its
  /// owner says.
  void add_functions() {
    KeyLines lines(machine_);
    for (std::uint32_t i = 0; i < machine_.functions().size(); ++i) {
      if (machine_.functions()[i].held && !lines.brings_new(machine_.functions()[i])) continue;
      Query q;
      q.setup = setup_;
      q.kind = Kind::function;
      q.point.at = Point::At::function;
      q.point.function = board::FunctionId(i);
      out_.push_back(q);
    }
  }
  /// Legs of chips, transistors and connectors; of passives only where no such leg sits on the net.
  void add_legs() {
    if (!setup_.powered()) return;
    std::vector<bool> covered(machine_.nets().size(), false);
    for (const bool chips : {true, false})
      for (std::uint32_t i = 0; i < machine_.pins().size(); ++i) {
        const auto& pin = machine_.pins()[i];
        const auto& part = machine_.part(pin.part);
        if (!pin.net.known() || !part.fitted || part.surroundings || parts::stands_in(*part.type) || machine_.net(pin.net).kind != board::NetKind::signal) continue;
        const bool chip = parts::listens(machine_.pin_type(PinId(i)).role) || parts::can_drive(machine_.pin_type(PinId(i)).role);
        if (chips ? !chip : covered[pin.net.index()]) continue;
        covered[pin.net.index()] = true;
        Query q;
        q.setup = setup_;
        q.kind = Kind::probe;
        q.point.at = Point::At::leg;
        q.point.pin = PinId(i);
        out_.push_back(q);
      }
  }
  /// In every bus cycle at one leg of each net that a chip drives or listens to.
  void add_cycles() {
    if (!setup_.powered()) return;
    std::vector<bool> covered(machine_.nets().size(), false);
    for (std::uint32_t i = 0; i < machine_.pins().size(); ++i) {
      const auto& pin = machine_.pins()[i];
      const auto& part = machine_.part(pin.part);
      const auto role = machine_.pin_type(PinId(i)).role;
      if (!pin.net.known() || !part.fitted || part.surroundings || machine_.net(pin.net).kind != board::NetKind::signal) continue;
      if (covered[pin.net.index()] || part.family == nullptr || !(parts::listens(role) || parts::can_drive(role))) continue;
      covered[pin.net.index()] = true;
      for (const auto& cycle : activity_.network().cycles) {
        Query q;
        q.setup = setup_;
        q.kind = Kind::triggered;
        q.point.at = Point::At::leg;
        q.point.pin = PinId(i);
        q.cycle = cycle.name;
        out_.push_back(q);
      }
    }
  }
  /// Where a stored or fetched bit can be compared with what it should be: data pins of memories and processors.
  void add_contents() {
    if (!setup_.powered()) return;
    for (std::uint32_t p = 0; p < machine_.parts().size(); ++p) {
      const auto& part = machine_.parts()[p];
      if (!part.fitted) continue;
      for (const auto& block : part.type->blocks) {
        if (block.kind != parts::Template::memory && block.kind != parts::Template::processor) continue;
        for (const auto pin : block.port(block.port("data").empty() ? "out" : "data")) {
          const PinId id = machine_.pin_of(board::PartId(p), pin);
          if (!machine_.pin(id).net.known()) continue;
          Query q;
          q.setup = setup_;
          q.kind = Kind::content;
          q.point.at = Point::At::leg;
          q.point.pin = id;
          out_.push_back(q);
        }
      }
    }
  }
  /// One report for each bank, at its first chip.
  void add_reports() {
    if (!setup_.powered()) return;
    for (const logic::Bank& bank : activity_.banks()) {
      Query q;
      q.setup = setup_;
      q.kind = Kind::memory;
      q.point.at = Point::At::part;
      q.point.part = board::PartId(bank.parts.front());
      out_.push_back(q);
    }
  }
  void add_rails() {
    if (!setup_.powered()) return;
    for (std::uint32_t i = 0; i < machine_.pins().size(); ++i) {
      const auto& pin = machine_.pins()[i];
      if (!pin.net.known() || machine_.net(pin.net).kind != board::NetKind::rail || machine_.pin_type(PinId(i)).role != parts::PinRole::supply) continue;
      Query q;
      q.setup = setup_;
      q.kind = Kind::volts_dc;
      q.point.at = Point::At::leg;
      q.point.pin = PinId(i);
      out_.push_back(q);
    }
  }
  /// A memory that can only be read: what it should hold is known.
  static bool keeps_program(const board::Part& part) {
    return std::any_of(part.type->blocks.begin(), part.type->blocks.end(), [](const parts::Block& block) { return block.kind == parts::Template::memory && block.term("write").empty(); });
  }
  void add_parts(Kind kind) {
    for (std::uint32_t i = 0; i < machine_.parts().size(); ++i) {
      const auto& part = machine_.parts()[i];
      if (!part.fitted || part.surroundings || parts::stands_in(*part.type)) continue;
      const bool chip = part.pin_count >= 8 && part.family != nullptr;
      if (kind == Kind::dump && !keeps_program(part)) continue;
      if ((kind == Kind::part_test || kind == Kind::piggyback) && !chip) continue;
      Query q;
      q.setup = setup_;
      q.kind = kind;
      q.point.at = Point::At::part;
      q.point.part = board::PartId(i);
      out_.push_back(q);
    }
  }

  const board::Setup& setup_;
  const board::Machine& machine_;
  const logic::Activity& activity_;
  std::vector<Query> out_;
};

}  // namespace

std::vector<Query> offers(const board::Setup& setup, const std::vector<Kind>& kinds, const logic::Activity& activity) { return Offers(setup, activity).of(kinds); }

std::vector<std::vector<Query>> walks(const board::Setup& setup, const std::vector<Kind>& kinds, board::PartId id, const logic::Activity& activity) {
  std::vector<std::vector<Query>> out;
  const board::Machine& machine = activity.machine();
  const board::Part& part = machine.part(id);
  if (!setup.powered() || !part.fitted || part.surroundings || part.family == nullptr) return out;
  const auto walk = [&](Kind kind, const std::string& cycle) {
    std::vector<Query> pins;
    for (std::size_t i = 0; i < part.pin_count; ++i) {
      const PinId pin = machine.pin_of(id, i);
      const auto role = machine.pin_type(pin).role;
      const board::NetId net = machine.pin(pin).net;
      if (!net.known() || machine.net(net).kind != board::NetKind::signal || !(parts::listens(role) || parts::can_drive(role))) continue;
      Query query;
      query.setup = setup;
      query.kind = kind;
      query.cycle = cycle;
      query.point.at = Point::At::leg;
      query.point.pin = pin;
      pins.push_back(std::move(query));
    }
    if (!pins.empty()) out.push_back(std::move(pins));
  };
  for (const Kind kind : kinds) {
    if (kind == Kind::probe) walk(kind, {});
    if (kind == Kind::triggered)
      for (const logic::Cycle& cycle : activity.network().cycles) walk(kind, cycle.name);
  }
  return out;
}

}  // namespace halfsplit::predict
