// Equality of specs but for places.
#include <algorithm>

#include "board/spec.h"

namespace halfsplit::board {

namespace {

using DocumentNode = halfsplit::Node;

template <class T, class Equal>
bool all_same(const std::vector<T>& a, const std::vector<T>& b, Equal equal) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(), equal);
}

bool same_position(const Position& a, const Position& b) { return a.x_mm == b.x_mm && a.y_mm == b.y_mm; }
bool same_position(const std::optional<Position>& a, const std::optional<Position>& b) {
  return a.has_value() == b.has_value() && (!a || same_position(*a, *b));
}

bool same_node(const DocumentNode& a, const DocumentNode& b);
bool is_single(const DocumentNode& node) { return node.kind != DocumentNode::Kind::table && node.kind != DocumentNode::Kind::array; }

/// Tables hold the same members; plain ones are written before tables, so their order doesn't count.
bool same_members(const DocumentNode& a, const DocumentNode& b) {
  if (a.members.size() != b.members.size()) return false;
  return std::all_of(a.members.begin(), a.members.end(), [&](const Member& member) {
    const DocumentNode* other = b.find(member.key);
    return other && same_node(member.value, *other);
  });
}

bool same_node(const DocumentNode& a, const DocumentNode& b) {
  if (a.kind != b.kind) return false;
  if (is_single(a)) return a.text == b.text && a.integer == b.integer && a.real == b.real && a.boolean == b.boolean;
  if (a.kind == DocumentNode::Kind::array) return all_same(a.items, b.items, same_node);
  return same_members(a, b);
}

bool same_part(const PartSpec& a, const PartSpec& b) {
  const auto same_place = [](const auto& x, const auto& y) { return x.first == y.first && same_position(x.second, y.second); };
  return a.ref == b.ref && a.type == b.type && a.family == b.family && a.value == b.value && a.footprint == b.footprint && a.note == b.note &&
         a.fitted == b.fitted && a.socketed == b.socketed && same_position(a.at, b.at) && a.pin_numbers == b.pin_numbers &&
         all_same(a.pin_at, b.pin_at, same_place);
}

bool same_net(const NetSpec& a, const NetSpec& b) {
  return a.name == b.name && all_same(a.pins, b.pins, [](const PinRef& x, const PinRef& y) { return x.part == y.part && x.pin == y.pin; });
}

bool same_supply(const SupplySpec& a, const SupplySpec& b) {
  return a.net == b.net && a.volts == b.volts && a.tolerance == b.tolerance && a.from == b.from;
}

/// By id: their order is that of file names.
std::vector<DocumentNode> in_order(std::vector<DocumentNode> types) {
  const auto id_of = [](const DocumentNode& type) { const DocumentNode* id = type.find("id"); return id ? id->text : std::string(); };
  std::stable_sort(types.begin(), types.end(), [&](const DocumentNode& a, const DocumentNode& b) { return id_of(a) < id_of(b); });
  return types;
}

bool same_unit(const UnitSpec& a, const UnitSpec& b) {
  return a.name == b.name && a.title == b.title && a.revision == b.revision && a.grounds == b.grounds && a.sources == b.sources &&
         all_same(a.parts, b.parts, same_part) && all_same(a.nets, b.nets, same_net) && all_same(a.supplies, b.supplies, same_supply) &&
         all_same(in_order(a.types), in_order(b.types), same_node);
}

bool same_mate(const MateSpec& a, const MateSpec& b) { return a.a == b.a && a.b == b.b && a.map == b.map && a.cable == b.cable; }

bool same_function(const FunctionSpec& a, const FunctionSpec& b) {
  return a.id == b.id && a.title == b.title && a.kind == b.kind && a.needs == b.needs && a.held == b.held;
}

bool same_question(const QuestionSpec& a, const QuestionSpec& b) {
  const auto same_answer = [](const Question::Answer& x, const Question::Answer& y) { return x.word == y.word && x.amendments == y.amendments; };
  return a.id == b.id && a.text == b.text && all_same(a.answers, b.answers, same_answer);
}

bool same_zone(const ZoneSpec& a, const ZoneSpec& b) {
  return a.id == b.id && a.title == b.title && a.hazard == b.hazard && a.caution == b.caution && a.open_when == b.open_when && a.parts == b.parts;
}

}  // namespace

bool same(const MachineSpec& a, const MachineSpec& b) {
  return a.id == b.id && a.title == b.title && a.maker == b.maker && a.revision == b.revision && a.amendments == b.amendments &&
         a.amended == b.amended && all_same(a.units, b.units, same_unit) && all_same(a.mates, b.mates, same_mate) &&
         all_same(a.surroundings, b.surroundings, same_part) && all_same(a.functions, b.functions, same_function) &&
         all_same(a.questions, b.questions, same_question) && all_same(a.zones, b.zones, same_zone);
}

}  // namespace halfsplit::board
