#include "support.h"

#include <algorithm>
#include <set>

#include "parts/package.h"

using namespace halfsplit;
using namespace halfsplit::parts;

namespace {

std::vector<const PartType*> all_types() {
  std::vector<const PartType*> out;
  for (const std::string& id : shipped_library()->ids()) {
    const auto type = shipped_library()->type(id);
    REQUIRE_MESSAGE(type.ok(), type.error().text());
    out.push_back(*type);
  }
  return out;
}

/// Pins that any block drives or names as a port, and control pins of bus cycles.
std::set<std::uint16_t> pins_in_blocks(const PartType& type) {
  std::set<std::uint16_t> out;
  for (const Block& block : type.blocks) {
    for (const auto& [name, pins] : block.ports) out.insert(pins.begin(), pins.end());
    for (const BusCycle& cycle : block.cycles) {
      for (const auto& [pin, level] : cycle.setup) out.insert(pin);
      for (const auto& [pin, level] : cycle.active) out.insert(pin);
    }
  }
  return out;
}

}  // namespace

TEST_CASE("every shipped type is read without a complaint") {
  CHECK(all_types().size() >= 250);
  for (const PartType* type : all_types()) {
    CAPTURE(type->id);
    CHECK(!type->title.empty());
    std::set<std::string> numbers;
    for (const Pin& pin : type->pins) CHECK(numbers.insert(pin.number).second);
  }
}

TEST_CASE("every pin that drives belongs to a block") {
  for (const PartType* type : all_types()) {
    const auto used = pins_in_blocks(*type);
    const bool by_program = type->rate_class == "custom" || type->rate_class == "programmable logic" || type->rate_class == "CPU";
    for (std::uint16_t i = 0; i < type->pins.size(); ++i) {
      if (!can_drive(type->pins[i].role)) continue;
      if (by_program && type->pins[i].role == PinRole::bidirectional) continue;  // direction and use are not told by the data sheet
      CAPTURE(type->id);
      CAPTURE(type->pins[i].name);
      CHECK(used.contains(i));
    }
  }
}

TEST_CASE("expressions name pins that can have a level") {
  for (const PartType* type : all_types())
    for (const Block& block : type->blocks)
      for (const auto& [name, terms] : block.terms)
        for (const Expression& term : terms) {
          CAPTURE(type->id);
          CAPTURE(name);
          CHECK(!term.empty());
          for (const Expression::Node& node : term.nodes) {
            if (node.op != Expression::Op::pin) continue;
            REQUIRE(node.pin < type->pins.size());
            const PinRole role = type->pins[node.pin].role;
            CAPTURE(type->pins[node.pin].name);
            CHECK((role != PinRole::supply && role != PinRole::ground && role != PinRole::not_connected));
          }
        }
}

TEST_CASE("the packages have as many pins as the type") {
  for (const PartType* type : all_types())
    for (const std::string& name : type->packages) {
      const auto package = package_of(name);
      if (!package || package->kind == Package::Kind::can) continue;
      CAPTURE(type->id);
      CAPTURE(name);
      if (type->rate_class == "oscillator") CHECK(type->pins.size() == 4);  // only the corner pins exist
      else CHECK(type->pins.size() == package->number);
    }
}

TEST_CASE("logic memories and processors have supply pins and a family") {
  for (const PartType* type : all_types()) {
    const bool logic = type->rate_class == "logic" || type->rate_class == "DRAM" || type->rate_class == "SRAM" || type->rate_class == "ROM" || type->rate_class == "CPU";
    if (!logic) continue;
    CAPTURE(type->id);
    const auto has = [&](PinRole role) { return std::any_of(type->pins.begin(), type->pins.end(), [&](const Pin& pin) { return pin.role == role; }); };
    CHECK(has(PinRole::supply));
    CHECK(has(PinRole::ground));
    CHECK(!type->family.empty());
  }
}

TEST_CASE("equivalents are there") {
  for (const PartType* type : all_types())
    for (const std::string& id : type->equivalents) {
      CAPTURE(type->id);
      CAPTURE(id);
      CHECK(shipped_library()->type(id).ok());
    }
}

TEST_CASE("no two types with as many pins answer to one name") {
  for (const PartType* type : all_types()) {
    std::vector<std::string> names = type->also;
    names.push_back(type->id);
    for (const std::string& name : names)
      for (const std::string& other : shipped_library()->named(name)) {
        if (other == type->id) continue;
        CAPTURE(name);
        CAPTURE(type->id);
        CAPTURE(other);
        CHECK((*shipped_library()->type(other))->pins.size() != type->pins.size());
      }
  }
}

TEST_CASE("the mode vocabulary is complete and its ids are the slugs of the titles") {
  std::size_t count = 0;
  for (const ClassModes& entry : shipped_library()->classes()) {
    std::set<std::string> ids;
    for (const Mode& mode : entry.modes) {
      ++count;
      CHECK(ids.insert(mode.id).second);
      CHECK(mode.id.find_first_not_of("abcdefghijklmnopqrstuvwxyz0123456789-") == std::string::npos);
      CHECK(!mode.evidence_group.empty());
    }
  }
  CHECK(count == 199);
  const auto& logic = shipped_library()->modes("logic", "HC or HCT");
  CHECK(logic[0].id == "output-stuck-low");
  CHECK(logic[0].effect == Effect::stuck_low);
  CHECK(logic[0].at == ModeAt::each_output);
  CHECK(logic[0].evidence_group == "stuck");
}

TEST_CASE("logic families cover the letters on the chips") {
  std::set<std::string> letters;
  for (const Family& family : shipped_library()->families())
    for (const std::string& each : family.letters) CHECK(letters.insert(each).second);
  for (const char* each : {"", "LS", "S", "F", "ALS", "AS", "HC", "HCT", "AC", "ACT", "AHC", "AHCT", "AHCU", "C", "LVC", "H", "L"}) CHECK(letters.contains(each));
  CHECK(shipped_library()->family("LS")->low_wins);
  CHECK(!shipped_library()->family("HC")->low_wins);
  CHECK(shipped_library()->family("nothing") == nullptr);
}

TEST_CASE("numbered types make consistent elements for every allowed count") {
  for (const PartType* type : all_types()) {
    if (!type->numbered) continue;
    for (int count = 1; count <= 64; ++count) {
      const auto made = shipped_library()->type(type->id + "/" + std::to_string(count));
      if (!made.ok()) continue;
      CAPTURE((*made)->id);
      CHECK((*made)->pins.size() == static_cast<std::size_t>(count));
      for (const Block& block : (*made)->blocks) {
        REQUIRE(block.ports.size() == 2);
        CHECK(block.ports[0].second.size() == block.ports[1].second.size());
        for (std::size_t i = 0; i < block.ports[0].second.size(); ++i) CHECK(block.ports[0].second[i] != block.ports[1].second[i]);
      }
    }
  }
  const PartType& network = **shipped_library()->type("resistor-network-bussed/9");
  CHECK(network.blocks[0].port("a") == std::vector<std::uint16_t>(8, 0));
  const PartType& isolated = **shipped_library()->type("resistor-network-isolated/8");
  CHECK(isolated.blocks[0].port("a") == std::vector<std::uint16_t>{0, 2, 4, 6});
  CHECK(isolated.blocks[0].port("b") == std::vector<std::uint16_t>{1, 3, 5, 7});
}
