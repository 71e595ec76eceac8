// Content hash of a machine: parts with the whole of their types, joints, power, functions. Titles, questions and zones don't change predictions.
#include <algorithm>
#include <bit>

#include "base/random.h"
#include "board/assembly.h"

namespace halfsplit::board {

namespace {

class Hasher {
 public:
  void text(std::string_view bytes) {
    number(bytes.size());
    value_ = content_hash(bytes, value_);
  }
  void number(std::uint64_t value) {
    char bytes[8];
    for (char& byte : bytes) { byte = static_cast<char>(value & 0xffu); value >>= 8; }
    value_ = content_hash(std::string_view(bytes, sizeof bytes), value_);
  }
  void real(double value) { number(std::bit_cast<std::uint64_t>(value)); }
  template <class T>
  void id(Id<T> value) { number(value.index()); }
  void position(const std::optional<Position>& at) {
    number(at.has_value());
    if (at) { real(at->x_mm); real(at->y_mm); }
  }
  template <class Numbers>
  void numbers(const Numbers& values) {
    number(values.size());
    for (const auto value : values) number(static_cast<std::uint64_t>(value));
  }
  std::uint64_t value() const { return value_; }

 private:
  std::uint64_t value_ = content_hash("machine 1");
};

void add_expression(Hasher& hash, const parts::Expression& expression) {
  hash.number(expression.nodes.size());
  for (const auto& node : expression.nodes) {
    hash.number(static_cast<std::uint64_t>(node.op));
    hash.number(node.constant);
    hash.number(node.pin);
    hash.numbers(node.args);
  }
}

void add_levels(Hasher& hash, const std::vector<std::pair<std::uint16_t, bool>>& levels) {
  hash.number(levels.size());
  for (const auto& [pin, level] : levels) hash.number(pin * 2u + level);
}

void add_block(Hasher& hash, const parts::Block& block) {
  hash.number(static_cast<std::uint64_t>(block.kind));
  for (const auto& [name, pins] : block.ports) { hash.text(name); hash.numbers(pins); }
  for (const auto& [name, terms] : block.terms) {
    hash.text(name);
    for (const parts::Expression& term : terms) add_expression(hash, term);
  }
  for (const auto& [name, word] : block.words) { hash.text(name); hash.text(word); }
  for (const parts::BusCycle& cycle : block.cycles) {
    hash.text(cycle.name);
    hash.text(cycle.space);
    hash.number(static_cast<std::uint64_t>(cycle.direction));
    add_levels(hash, cycle.setup);
    add_levels(hash, cycle.active);
    hash.numbers(cycle.address);
    hash.number(cycle.phase_clock ? 1u + *cycle.phase_clock : 0u);
  }
}

std::uint64_t type_hash(const parts::PartType& type) {
  Hasher hash;
  for (const std::string* text : {&type.id, &type.rate_class, &type.technology, &type.function_group, &type.family}) hash.text(*text);
  hash.number(type.custom);
  for (const parts::Pin& pin : type.pins) {
    hash.text(pin.number);
    hash.text(pin.shown());
    hash.number(static_cast<std::uint64_t>(pin.role));
    hash.real(pin.rail_v);
  }
  for (const parts::Block& block : type.blocks) add_block(hash, block);
  return hash.value();
}

void add_part(Hasher& hash, const Part& part, std::uint64_t type) {
  hash.text(part.ref);
  hash.number(type);
  hash.text(part.family ? part.family->id : "");
  hash.text(part.value);
  hash.number(part.fitted * 4u + part.socketed * 2u + part.surroundings);
  hash.position(part.at);
}

void add_net(Hasher& hash, const Net& net) {
  hash.text(net.name);
  hash.number(static_cast<std::uint64_t>(net.kind));
  hash.real(net.rail_v);
  hash.real(net.tolerance);
  hash.id(net.source.value_or(PartId()));
  hash.number(net.fed.has_value());
  hash.real(net.fed.value_or(0));
  hash.number(net.pins.size());
  for (const PinId pin : net.pins) hash.id(pin);
}

void add_function(Hasher& hash, const Function& function) {
  hash.text(function.id);
  hash.text(function.kind);
  hash.id(function.held.value_or(PartId()));
  hash.number(function.needs.size());
  for (const Need& need : function.needs) {
    hash.id(need.pin);
    hash.id(need.part);
    hash.number(need.content);
  }
}

}  // namespace

std::uint64_t prediction_hash(const Machine::Data& data) {
  Hasher hash;
  std::unordered_map<const parts::PartType*, std::uint64_t> types;
  for (const Part& part : data.parts) {
    const auto [type, fresh] = types.emplace(part.type, 0);
    if (fresh) type->second = type_hash(*part.type);
    add_part(hash, part, type->second);
  }
  for (const Pin& pin : data.pins) hash.position(pin.at);
  for (const Net& net : data.nets) add_net(hash, net);
  for (const Function& function : data.functions) add_function(hash, function);
  return hash.value();
}

}  // namespace halfsplit::board
