#include "netlist/outline.h"

#include <algorithm>
#include <set>
#include <vector>

#include "base/text.h"

namespace halfsplit::netlist {
namespace {

using parts::Block;
using parts::Expression;
using parts::PartType;
using parts::PinRole;
using parts::Template;
using Pins = std::vector<std::uint16_t>;

std::string text_of(const Expression& it, const PartType& type, std::size_t at) {
  const Expression::Node& node = it.nodes[at];
  std::vector<std::string> args;
  for (const auto arg : node.args) args.push_back(text_of(it, type, arg));
  switch (node.op) {
    case Expression::Op::constant: return node.constant ? "1" : "0";
    case Expression::Op::pin: return type.pins[node.pin].name;
    case Expression::Op::negate: return "!" + args.front();
    case Expression::Op::conjunction: return "(" + join(args, " & ") + ")";
    case Expression::Op::disjunction: return "(" + join(args, " | ") + ")";
    case Expression::Op::exclusive: return "(" + join(args, " ^ ") + ")";
  }
  return "0";
}
std::string text_of(const Expression& it, const PartType& type) { return text_of(it, type, it.nodes.size() - 1); }

void add_pins(const std::vector<Expression>& terms, Pins& out) {
  for (const Expression& term : terms)
    for (const auto& node : term.nodes)
      if (node.op == Expression::Op::pin) out.push_back(node.pin);
}

std::string list(const Pins& pins, const PartType& type) {
  std::vector<std::string> names;
  std::set<std::uint16_t> seen;
  for (const auto pin : pins)
    if (seen.insert(pin).second) names.push_back("\"" + type.pins[pin].name + "\"");
  return "[" + join(names, ", ") + "]";
}
Pins drivers(const Pins& pins, const PartType& type) {
  Pins out;
  for (const auto pin : pins)
    if (parts::can_drive(type.pins[pin].role)) out.push_back(pin);
  return out;
}

class Outline {
 public:
  explicit Outline(const PartType& type) : type_(type) {}

  std::string run() {
    text_ = "format = 1\nid = \"sketch-" + type_.id + "\"\ntitle = \"" + type_.title + "\"\nclass = \"" + type_.rate_class + "\"\n";
    for (const auto& [key, value] : {std::pair{"technology", type_.technology}, std::pair{"group", type_.function_group}, std::pair{"family", type_.family}, std::pair{"caution", type_.caution}})
      if (!value.empty()) text_ += std::string(key) + " = \"" + value + "\"\n";
    text_ += std::string("custom = true\nmos = ") + (type_.mos ? "true" : "false") + "\npins = [";
    for (const parts::Pin& pin : type_.pins) {
      std::string rail;
      if (pin.role == PinRole::supply && pin.rail_v != 0) rail = (pin.rail_v > 0 ? " +" : " ") + std::to_string(static_cast<int>(pin.rail_v)) + "V";
      text_ += "\n  \"" + pin.number + " " + pin.shown() + " " + parts::name_of(pin.role) + rail + "\",";
    }
    text_ += "\n]\n";
    for (const Block& block : type_.blocks) add(block);
    return text_;
  }

 private:
  /// Outputs that no earlier block has.
  Pins fresh(const Pins& pins) {
    Pins out;
    for (const auto pin : drivers(pins, type_))
      if (done_.insert(pin).second) out.push_back(pin);
    return out;
  }
  void box(const Pins& wanted, Pins needs, const Pins& data = {}, const Pins& address = {}) {
    const Pins out = fresh(wanted);
    if (out.empty()) return;
    needs.erase(std::remove_if(needs.begin(), needs.end(), [&](auto pin) { return !parts::listens(type_.pins[pin].role) || parts::can_drive(type_.pins[pin].role); }), needs.end());
    text_ += "\n[[box]]\nout = " + list(out, type_) + "\n";
    if (!needs.empty()) text_ += "needs = " + list(needs, type_) + "\nrest = \"with-needs\"\n";
    if (!data.empty()) text_ += "data = " + list(data, type_) + "\n";
    if (!address.empty()) text_ += "address = " + list(address, type_) + "\n";
  }
  void gates(const Block& block) {
    const Pins& out = block.port("out");
    const bool two_way = std::any_of(out.begin(), out.end(), [&](auto pin) { return type_.pins[pin].role == PinRole::bidirectional; });
    if (two_way) return box(out, {});
    for (std::size_t i = 0; i < out.size(); ++i) {
      if (!done_.insert(out[i]).second) continue;
      text_ += "\n[[gate]]\nout = \"" + type_.pins[out[i]].name + "\"\nis = \"" + text_of(block.term("is")[i], type_) + "\"\n";
      const auto& when = block.term("when");
      if (!when.empty()) text_ += "when = \"" + text_of(when[std::min(i, when.size() - 1)], type_) + "\"\n";
      if (const auto drive = block.word("drive")) text_ += "drive = \"" + std::string(*drive) + "\"\n";
    }
  }
  void add(const Block& block) {
    Pins needs, out;
    const auto port = [&](const char* name) { const auto& pins = block.port(name); out.insert(out.end(), pins.begin(), pins.end()); };
    switch (block.kind) {
      case Template::gate: return gates(block);
      case Template::oscillator: port("out"); return box(out, {});
      case Template::processor:
      case Template::master: {
        port("address");
        for (const auto& cycle : block.cycles)
          for (const auto* levels : {&cycle.setup, &cycle.active})
            for (const auto& [pin, high] : *levels) out.push_back(pin);
        needs = block.port("clock");
        box(out, needs, {}, block.port("address"));
        return box(block.port("data"), needs, block.port("data"));
      }
      case Template::memory:
        needs = block.port("address");
        for (const char* term : {"select", "read"}) add_pins(block.term(term), needs);
        return box(block.port(block.port("data").empty() ? "out" : "data"), needs, block.port(block.port("data").empty() ? "out" : "data"), block.port("address"));
      case Template::peripheral:
        needs = block.port("needs");
        add_pins(block.term("select"), needs);
        box(block.port("data"), needs, block.port("data"));
        for (const char* name : {"outputs", "ports"}) port(name);
        return box(out, needs);
      case Template::reg:
      case Template::latch:
      case Template::counter:
      case Template::shift:
      case Template::one_shot:
        for (const char* name : {"q", "qn", "carry", "out", "outn"}) port(name);
        for (const char* term : {"clock", "open", "trigger"}) add_pins(block.term(term), needs);
        return box(out, needs);
      case Template::timer: port("out"); port("discharge"); return box(out, {});
      case Template::box: port("out"); return box(out, block.port("needs"));
      default: return;
    }
  }

  const PartType& type_;
  std::set<std::uint16_t> done_;
  std::string text_;
};

}  // namespace

std::string outline_of(const PartType& type) { return Outline(type).run(); }

bool rests_high(const PartType& type, std::uint16_t pin) {
  for (const Block& block : type.blocks) {
    if (block.kind != Template::processor && block.kind != Template::master) continue;
    Pins held;
    for (const char* term : {"reset", "running"}) add_pins(block.term(term), held);
    if (std::find(held.begin(), held.end(), pin) != held.end()) return true;
    if (type.pins[pin].role == PinRole::input && type.pins[pin].active_low) return true;  // interrupts
  }
  const std::string name = upper(type.pins[pin].name);
  if (name == "VPP" || name == "PGM") return true;  // read-only memories in use
  return type.pins[pin].active_low && (name == "RESET" || name == "RES" || name == "RST");
}

}  // namespace halfsplit::netlist
