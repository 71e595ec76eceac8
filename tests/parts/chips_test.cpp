// The integrated circuits of shared/parts against truth functions written apart from them, in arithmetic where that is possible.
#include <doctest/doctest.h>

#include <algorithm>
#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "parts/library.h"

namespace {

using namespace halfsplit;
using parts::Block;
using parts::PartType;
using parts::PinRole;
using parts::Template;

const parts::Library& library() {
  static const auto opened = parts::Library::open(std::string(HALFSPLIT_SOURCE_DIR) + "/shared/parts");
  REQUIRE(opened.ok());
  return **opened;
}

const PartType& chip(const std::string& id) {
  const auto type = library().type(id);
  if (!type.ok()) FAIL(id << ": " << type.error().message);
  return **type;
}

std::vector<std::string> names(const std::string& head, int from, int to, const std::string& tail = {}) {
  std::vector<std::string> list;
  for (int k = from;; k += from < to ? 1 : -1) {
    list.push_back(head + std::to_string(k) + tail);
    if (k == to) return list;
  }
}

std::vector<std::string> operator+(std::vector<std::string> left, const std::vector<std::string>& right) {
  left.insert(left.end(), right.begin(), right.end());
  return left;
}

/// Levels of all pins of a part, by name.
class Bench {
 public:
  explicit Bench(const PartType& type) : type_(type), levels_(type.pins.size(), false) {}
  std::uint16_t pin(const std::string& name) const {
    const auto found = type_.pin_by_name(name);
    if (!found) FAIL(type_.id << " has no pin " << name);
    return *found;
  }
  void set(const std::string& name, bool level) { levels_[pin(name)] = level; }
  bool holds(const parts::Expression& expression) const {
    return parts::evaluate(expression, [&](std::uint16_t at) { return static_cast<bool>(levels_[at]); });
  }
  bool holds(const Block& block, std::string_view term) const {
    const auto& list = block.term(term);
    REQUIRE(list.size() == 1);
    return holds(list.front());
  }
  /// What the gates drive onto a pin: 0, 1, or 'z' when none drives; the open outputs let go of one level.
  char driven(const std::string& name) const {
    char seen = 'z';
    for (const Block& block : type_.blocks) {
      if (block.kind != Template::gate) continue;
      const auto& out = block.port("out");
      for (std::size_t k = 0; k < out.size(); ++k)
        if (out[k] == pin(name)) seen = merged(seen, one(block, k));
    }
    return seen;
  }

 private:
  char one(const Block& block, std::size_t k) const {
    if (!block.term("when").empty() && !holds(block, "when")) return 'z';
    const bool high = holds(block.term("is")[k]);
    const auto drive = block.word("drive").value_or("push-pull");
    if (high && drive == "open-collector") return 'z';
    return high ? '1' : '0';
  }
  static char merged(char left, char right) {
    REQUIRE((left == 'z' || right == 'z'));
    return left == 'z' ? right : left;
  }
  const PartType& type_;
  std::vector<bool> levels_;
};

/// `truth` takes the inputs as a number (first name = bit 0) and answers one character per output.
struct Table {
  std::string id;
  std::vector<std::string> inputs;
  std::vector<std::string> outputs;
  std::function<std::string(std::uint32_t)> truth;
};

char bit(std::uint32_t word, int at) { return (word >> at & 1U) != 0 ? '1' : '0'; }
char inverse(char level) { return level == 'z' ? 'z' : level == '1' ? '0' : '1'; }
std::string inverse(std::string levels) {
  std::transform(levels.begin(), levels.end(), levels.begin(), [](char c) { return inverse(c); });
  return levels;
}
/// One low output of `count`, all high when `at` is outside.
std::string one_low(int count, int at) {
  std::string levels(static_cast<std::size_t>(count), '1');
  if (at >= 0 && at < count) levels[static_cast<std::size_t>(at)] = '0';
  return levels;
}
std::string open_collector(std::string levels) {
  std::replace(levels.begin(), levels.end(), '1', 'z');
  return levels;
}
std::string bits(std::uint32_t word, int count) {
  std::string levels;
  for (int k = 0; k < count; ++k) levels += bit(word, k);
  return levels;
}

void check(const Table& table) {
  CAPTURE(table.id);
  Bench bench(chip(table.id));
  REQUIRE(table.inputs.size() <= 18);
  std::size_t wrong = 0;
  for (std::uint32_t word = 0; word < 1U << table.inputs.size(); ++word) {
    for (std::size_t k = 0; k < table.inputs.size(); ++k) bench.set(table.inputs[k], (word >> k & 1U) != 0);
    const std::string wanted = table.truth(word);
    REQUIRE(wanted.size() == table.outputs.size());
    for (std::size_t k = 0; k < table.outputs.size(); ++k) {
      const char got = bench.driven(table.outputs[k]);
      if (got == wanted[k]) continue;
      if (++wrong == 1) MESSAGE(table.id << " " << table.outputs[k] << " inputs " << word << " wanted " << wanted.substr(k, 1) << " got " << std::string(1, got));
    }
  }
  CHECK(wrong == 0);
}

using Gate = std::function<bool(const std::vector<bool>&)>;
/// Every gate of a package of like gates, alone.
void check_gates(const std::string& id, int gates, const std::string& letters, const Gate& gate, bool open = false) {
  for (int g = 1; g <= gates; ++g) {
    const std::string number = gates == 1 ? "" : std::to_string(g);
    std::vector<std::string> inputs;
    for (const char letter : letters) inputs.push_back(number + letter);
    check({id, inputs, {number + "Y"}, [&](std::uint32_t word) {
             std::vector<bool> levels;
             for (std::size_t k = 0; k < letters.size(); ++k) levels.push_back((word >> k & 1U) != 0);
             const std::string level(1, gate(levels) ? '1' : '0');
             return open ? open_collector(level) : level;
           }});
  }
}

bool all(const std::vector<bool>& v) { return std::count(v.begin(), v.end(), true) == static_cast<std::ptrdiff_t>(v.size()); }
bool any(const std::vector<bool>& v) { return std::count(v.begin(), v.end(), true) > 0; }
bool odd(const std::vector<bool>& v) { return std::count(v.begin(), v.end(), true) % 2 == 1; }
bool not_all(const std::vector<bool>& v) { return !all(v); }
bool none(const std::vector<bool>& v) { return !any(v); }

}  // namespace

TEST_CASE("gates in packages of like gates follow their truth tables") {
  for (const char* id : {"7400", "7437", "74132", "4011", "4093"}) check_gates(id, 4, "AB", not_all);
  for (const char* id : {"7403", "7438"}) check_gates(id, 4, "AB", not_all, true);
  for (const char* id : {"7402", "4001"}) check_gates(id, 4, "AB", none);
  for (const char* id : {"7404", "7414", "4069", "4049"}) check_gates(id, 6, "A", none);
  for (const char* id : {"7405", "7406"}) check_gates(id, 6, "A", none, true);
  check_gates("7407", 6, "A", all, true);
  check_gates("4050", 6, "A", all);
  for (const char* id : {"7408", "4081"}) check_gates(id, 4, "AB", all);
  check_gates("7409", 4, "AB", all, true);
  check_gates("7410", 3, "ABC", not_all);
  check_gates("7411", 3, "ABC", all);
  check_gates("7420", 2, "ABCD", not_all);
  check_gates("7421", 2, "ABCD", all);
  check_gates("7427", 3, "ABC", none);
  check_gates("7430", 1, "ABCDEFGH", not_all);
  for (const char* id : {"7432", "4071"}) check_gates(id, 4, "AB", any);
  for (const char* id : {"7486", "4070"}) check_gates(id, 4, "AB", odd);
  check_gates("74260", 2, "ABCDE", none);
  check_gates("1489", 4, "A", none);
}

TEST_CASE("and-or-invert gates add up their products") {
  check({"7451", {"1A", "1B", "1C", "1D", "1E", "1F"}, {"1Y"}, [](std::uint32_t w) {
           return std::string(1, (w & 7) == 7 || (w >> 3) == 7 ? '0' : '1');
         }});
  for (const auto& [id, gate] : {std::pair{"7451", "2"}, {"74S51", "1"}, {"74S51", "2"}})
    check({id, {std::string(gate) + "A", std::string(gate) + "B", std::string(gate) + "C", std::string(gate) + "D"}, {std::string(gate) + "Y"},
           [](std::uint32_t w) { return std::string(1, (w & 3) == 3 || (w >> 2) == 3 ? '0' : '1'); }});
}

TEST_CASE("decoders pull the addressed output low") {
  check({"74138", {"A", "B", "C", "G2A", "G2B", "G1"}, names("Y", 0, 7), [](std::uint32_t w) { return one_low(8, w >> 3 == 4 ? static_cast<int>(w & 7) : -1); }});
  for (const std::string half : {"1", "2"})
    check({"74139", {half + "A", half + "B", half + "G"}, names(half + "Y", 0, 3), [](std::uint32_t w) { return one_low(4, w < 4 ? static_cast<int>(w) : -1); }});
  check({"74154", {"A", "B", "C", "D", "G1", "G2"}, names("Y", 0, 15), [](std::uint32_t w) { return one_low(16, w < 16 ? static_cast<int>(w) : -1); }});
  const auto both = [](std::uint32_t w) {
    const int at = static_cast<int>(w & 3);
    return one_low(4, (w >> 2 & 3) == 1 ? at : -1) + one_low(4, w >> 4 == 0 ? at : -1);
  };
  const std::vector<std::string> inputs{"A", "B", "1C", "1G", "2C", "2G"};
  check({"74155", inputs, names("1Y", 0, 3) + names("2Y", 0, 3), both});
  check({"74156", inputs, names("1Y", 0, 3) + names("2Y", 0, 3), [&](std::uint32_t w) { return open_collector(both(w)); }});
  check({"7442", {"A", "B", "C", "D"}, names("Y", 0, 9), [](std::uint32_t w) { return one_low(10, static_cast<int>(w)); }});
  check({"74145", {"A", "B", "C", "D"}, names("Y", 0, 9), [](std::uint32_t w) { return open_collector(one_low(10, static_cast<int>(w))); }});
}

TEST_CASE("the priority encoder names the highest request") {
  check({"74148", names("I", 0, 7) + std::vector<std::string>{"EI"}, {"A0", "A1", "A2", "GS", "EO"}, [](std::uint32_t w) -> std::string {
           if (w >> 8 != 0) return "11111";
           for (int k = 7; k >= 0; --k)
             if (bit(w, k) == '0') return inverse(bits(static_cast<std::uint32_t>(k), 3)) + "01";
           return "11110";
         }});
}

TEST_CASE("multiplexers pass the chosen input") {
  const auto pick8 = [](std::uint32_t w) { return bit(w, static_cast<int>(w >> 8 & 7)); };
  const auto inputs8 = names("D", 0, 7) + std::vector<std::string>{"A", "B", "C", "G"};
  check({"74151", inputs8, {"Y", "W"}, [&](std::uint32_t w) {
           const char level = w >> 11 != 0 ? '0' : pick8(w);
           return std::string{level, inverse(level)};
         }});
  check({"74251", inputs8, {"Y", "W"}, [&](std::uint32_t w) {
           const char level = w >> 11 != 0 ? 'z' : pick8(w);
           return std::string{level, inverse(level)};
         }});
  for (const std::string half : {"1", "2"}) {
    const auto inputs4 = names(half + "C", 0, 3) + std::vector<std::string>{"A", "B", half + "G"};
    const auto pick4 = [](std::uint32_t w, char off) { return std::string(1, w >> 6 != 0 ? off : bit(w, static_cast<int>(w >> 4 & 3))); };
    check({"74153", inputs4, {half + "Y"}, [&](std::uint32_t w) { return pick4(w, '0'); }});
    check({"74253", inputs4, {half + "Y"}, [&](std::uint32_t w) { return pick4(w, 'z'); }});
  }
  const auto quad = [](std::uint32_t w) { return bits((w >> 8 & 1) != 0 ? w >> 4 : w, 4); };
  const auto inputs2 = [](const char* gate) { return names("", 1, 4, "A") + names("", 1, 4, "B") + std::vector<std::string>{"S", gate}; };
  const auto outputs2 = names("", 1, 4, "Y");
  check({"74157", inputs2("G"), outputs2, [&](std::uint32_t w) { return w >> 9 != 0 ? "0000" : quad(w); }});
  check({"74158", inputs2("G"), outputs2, [&](std::uint32_t w) { return w >> 9 != 0 ? "1111" : inverse(quad(w)); }});
  check({"74257", inputs2("OE"), outputs2, [&](std::uint32_t w) { return w >> 9 != 0 ? "zzzz" : quad(w); }});
  check({"74258", inputs2("OE"), outputs2, [&](std::uint32_t w) { return w >> 9 != 0 ? "zzzz" : inverse(quad(w)); }});
}

TEST_CASE("arithmetic parts add and compare") {
  check({"74283", names("A", 1, 4) + names("B", 1, 4) + std::vector<std::string>{"C0"}, {"S1", "S2", "S3", "S4", "C4"},
         [](std::uint32_t w) { return bits((w & 15) + (w >> 4 & 15) + (w >> 8), 5); }});
  check({"7485", names("A", 0, 3) + names("B", 0, 3) + std::vector<std::string>{"IGT", "ILT", "IEQ"}, {"OGT", "OLT", "OEQ"}, [](std::uint32_t w) -> std::string {
           const std::uint32_t a = w & 15, b = w >> 4 & 15;
           if (a > b) return "100";
           if (a < b) return "010";
           // The function table for equal words, cascading inputs greater + 2 less + 4 equal.
           constexpr const char* kCascade[] = {"110", "100", "010", "000", "001", "001", "001", "001"};
           return kCascade[w >> 8];
         }});
  check({"74688", names("P", 0, 7) + names("Q", 0, 7) + std::vector<std::string>{"G"}, {"PEQ"},
         [](std::uint32_t w) { return std::string(1, w >> 16 == 0 && (w & 255) == (w >> 8 & 255) ? '0' : '1'); }});
  check({"74280", {"A", "B", "C", "D", "E", "F", "G", "H", "I"}, {"EVEN", "ODD"}, [](std::uint32_t w) -> std::string {
           int ones = 0;
           for (int k = 0; k < 9; ++k) ones += bit(w, k) == '1';
           return ones % 2 == 0 ? "10" : "01";
         }});
}

TEST_CASE("buffers drive only when enabled and in the right sense") {
  struct Group { std::string id, enable; bool enabled_high; std::vector<std::string> in, out; bool inverts; };
  std::vector<Group> groups;
  for (const auto& [id, inverts] : {std::pair{"74244", false}, {"74240", true}}) {
    groups.push_back({id, "1OE", false, names("1A", 0, 3), names("1Y", 0, 3), inverts});
    groups.push_back({id, "2OE", false, names("2A", 0, 3), names("2Y", 0, 3), inverts});
  }
  groups.push_back({"74241", "1OE", false, names("1A", 0, 3), names("1Y", 0, 3), false});
  groups.push_back({"74241", "2OE", true, names("2A", 0, 3), names("2Y", 0, 3), false});
  for (const auto& [id, inverts] : {std::pair{"74367", false}, {"74368", true}, {"8T97", false}, {"8T98", true}}) {
    groups.push_back({id, "1OE", false, names("1A", 1, 4), names("1Y", 1, 4), inverts});
    groups.push_back({id, "2OE", false, names("2A", 1, 2), names("2Y", 1, 2), inverts});
  }
  for (int k = 1; k <= 4; ++k) {
    const std::string gate = std::to_string(k);
    groups.push_back({"74125", gate + "OE", false, {gate + "A"}, {gate + "Y"}, false});
    groups.push_back({"74126", gate + "OE", true, {gate + "A"}, {gate + "Y"}, false});
  }
  for (const auto& [id, inverts] : {std::pair{"8T28", false}, {"8T26", true}}) {
    groups.push_back({id, "DE", true, names("D", 1, 4), names("B", 1, 4), inverts});
    groups.push_back({id, "RE", false, names("B", 1, 4), names("R", 1, 4), inverts});
  }
  for (const Group& group : groups)
    check({group.id, group.in + std::vector<std::string>{group.enable}, group.out, [&](std::uint32_t w) {
             const int count = static_cast<int>(group.in.size());
             if ((bit(w, count) == '1') != group.enabled_high) return std::string(group.in.size(), 'z');
             return group.inverts ? inverse(bits(w, count)) : bits(w, count);
           }});
}

TEST_CASE("buffers with two enables want both") {
  for (const auto& [id, count, inverts] : {std::tuple{"74541", 8, false}, {"74540", 8, true}, {"74365", 6, false}, {"74366", 6, true}})
    check({id, names("A", 1, count) + std::vector<std::string>{"OE1", "OE2"}, names("Y", 1, count), [n = count, flip = inverts](std::uint32_t w) {
             if (w >> n != 0) return std::string(static_cast<std::size_t>(n), 'z');
             return flip ? inverse(bits(w, n)) : bits(w, n);
           }});
}

TEST_CASE("transceivers drive one side only") {
  for (const auto& [id, inverts] : {std::pair{"74245", false}, {"74640", true}}) {
    const auto drive = [flip = inverts](std::uint32_t w, bool wanted) {
      if (!wanted) return std::string(8, 'z');
      return flip ? inverse(bits(w, 8)) : bits(w, 8);
    };
    const std::vector<std::string> control{"DIR", "OE"};
    check({id, names("A", 1, 8) + control, names("B", 1, 8), [&](std::uint32_t w) { return drive(w, w >> 8 == 1); }});
    check({id, names("B", 1, 8) + control, names("A", 1, 8), [&](std::uint32_t w) { return drive(w, w >> 8 == 0); }});
  }
}

TEST_CASE("the addressable latch opens one bit and clears as its table says") {
  const PartType& type = chip("74259");
  Bench bench(type);
  REQUIRE(type.blocks.size() == 8);
  for (std::uint32_t word = 0; word < 32; ++word) {
    int k = 0;
    for (const char* name : {"A", "B", "C", "G", "CLR"}) bench.set(name, bit(word, k++) == '1');
    const bool enabled = bit(word, 3) == '0', cleared = bit(word, 4) == '0';
    for (std::uint32_t out = 0; out < 8; ++out) {
      const bool addressed = enabled && (word & 7) == out;
      CHECK(type.blocks[out].port("q").front() == bench.pin("Q" + std::to_string(out)));
      CHECK(bench.holds(type.blocks[out], "open") == addressed);
      CHECK(bench.holds(type.blocks[out], "clear") == (cleared && !addressed));
    }
  }
}

TEST_CASE("memories answer and store on the levels of their data sheets") {
  struct Access { std::string id, levels; bool reads, writes; };
  const std::vector<Access> table{
      {"6264", "CE1=0 CE2=1 OE=0 WE=1", true, false},   {"6264", "CE1=0 CE2=0 OE=0 WE=1", false, false},
      {"6264", "CE1=1 CE2=1 OE=0 WE=0", false, false},  {"6264", "CE1=0 CE2=1 OE=0 WE=0", false, true},
      {"62256", "CE=0 OE=1 WE=1", false, false},        {"62256", "CE=0 OE=0 WE=1", true, false},
      {"2114", "CS=0 WE=1", true, false},               {"2114", "CS=0 WE=0", false, true},
      {"2102", "CE=0 RW=1", true, false},               {"2102", "CE=1 RW=0", false, false},
      {"4116", "RAS=0 CAS=0 WE=1", true, false},        {"4116", "RAS=0 CAS=0 WE=0", false, true},
      {"4116", "RAS=0 CAS=1 WE=1", false, false},       {"4027", "RAS=0 CAS=0 CS=1 WE=1", false, false},
      {"4416", "RAS=0 CAS=0 G=0 W=0", false, true},     {"4416", "RAS=0 CAS=0 G=1 W=1", false, false},
      {"41464", "RAS=0 CAS=0 G=0 W=1", true, false},    {"2316", "CS1=0 CS2=0 CS3=1", true, false},
      {"2332", "CS1=0 CS2=0", false, false},            {"2364", "CS=0", true, false},
      {"27128", "CE=0 OE=0", true, false},              {"27256", "CE=1 OE=0", false, false},
      {"39SF010", "CE=0 OE=0 WE=1", true, false},       {"39SF010", "CE=0 OE=0 WE=0", false, false}};
  for (const Access& access : table) {
    CAPTURE(access.id);
    CAPTURE(access.levels);
    const PartType& type = chip(access.id);
    Bench bench(type);
    for (std::size_t at = 0; at < access.levels.size();) {
      const std::size_t end = std::min(access.levels.find(' ', at), access.levels.size());
      bench.set(access.levels.substr(at, end - at - 2), access.levels[end - 1] == '1');
      at = end + 1;
    }
    const Block& block = type.blocks.front();
    REQUIRE(block.kind == Template::memory);
    const bool selected = bench.holds(block, "select");
    CHECK((selected && bench.holds(block, "read")) == access.reads);
    CHECK((selected && !block.term("write").empty() && bench.holds(block, "write")) == access.writes);
  }
}

TEST_CASE("memories have the address and data pins of their size") {
  struct Size { const char* id; std::size_t address, width; };
  for (const Size& size : {Size{"2102", 10, 1}, {"2114", 10, 4}, {"4044", 12, 1}, {"6116", 11, 8}, {"6264", 13, 8}, {"62256", 15, 8}, {"628128", 17, 8},
                           {"628512", 19, 8}, {"4027", 6, 1}, {"4116", 7, 1}, {"4517", 7, 1}, {"4164", 8, 1}, {"41256", 9, 1}, {"4416", 8, 4}, {"41464", 8, 4},
                           {"2316", 11, 8}, {"2332", 12, 8}, {"2364", 13, 8}, {"23128", 14, 8}, {"23256", 15, 8}, {"2716", 11, 8}, {"2732", 12, 8},
                           {"2764", 13, 8}, {"27128", 14, 8}, {"27256", 15, 8}, {"27512", 16, 8}, {"39SF010", 17, 8}, {"39SF040", 19, 8}, {"74S287", 8, 4}}) {
    CAPTURE(size.id);
    const Block& block = chip(size.id).blocks.front();
    CHECK(block.port("address").size() == size.address);
    CHECK(std::max(block.port("data").size(), block.port("out").size()) == size.width);
    CHECK(block.port("in").size() == block.port("out").size());
  }
}

TEST_CASE("processors name every transfer with opposite strobes") {
  for (const char* id : {"6502", "65C02", "6510", "65C816", "6800", "6809", "6809E", "Z80"}) {
    CAPTURE(id);
    const PartType& type = chip(id);
    const Block& block = type.blocks.front();
    REQUIRE(block.kind == Template::processor);
    CHECK(block.port("address").size() == 16);
    CHECK(block.port("data").size() == 8);
    std::set<std::pair<std::string, parts::BusCycle::Direction>> seen;
    for (const parts::BusCycle& cycle : block.cycles) {
      seen.emplace(cycle.space, cycle.direction);
      CHECK(cycle.setup.size() == cycle.active.size());
      CHECK((cycle.setup != cycle.active || cycle.phase_clock));
    }
    CHECK(seen.count({"memory", parts::BusCycle::Direction::read}) == 1);
    CHECK(seen.count({"memory", parts::BusCycle::Direction::write}) == 1);
  }
  const auto& cycles = chip("Z80").blocks.front().cycles;
  REQUIRE(cycles.size() == 6);
  const auto levels = [](const std::vector<std::pair<std::uint16_t, bool>>& list) {
    std::string text;
    for (const auto& [pin, high] : list)
      if (!high) text += chip("Z80").pins[pin].name + " ";
    return text;
  };
  const std::map<std::string, std::string> low{{"fetch", "M1 MREQ RD "}, {"refresh", "MREQ RFSH "}, {"read", "MREQ RD "},
                                               {"write", "MREQ WR "},    {"in", "IORQ RD "},        {"out", "IORQ WR "}};
  for (const auto& cycle : cycles) CHECK(levels(cycle.active) == low.at(cycle.name));
}

TEST_CASE("a select of a bus chip is one combination of levels") {
  struct Chip { std::string id; std::map<std::string, bool> read, write; };
  const std::vector<Chip> table{
      {"6522", {{"CS1", 1}, {"CS2", 0}, {"RW", 1}, {"PHI2", 1}}, {{"CS1", 1}, {"CS2", 0}, {"RW", 0}, {"PHI2", 1}}},
      {"6551", {{"CS0", 1}, {"CS1", 0}, {"RW", 1}, {"PHI2", 1}}, {{"CS0", 1}, {"CS1", 0}, {"RW", 0}, {"PHI2", 1}}},
      {"6821", {{"CS0", 1}, {"CS1", 1}, {"CS2", 0}, {"RW", 1}, {"E", 1}}, {{"CS0", 1}, {"CS1", 1}, {"CS2", 0}, {"RW", 0}, {"E", 1}}},
      {"6526", {{"CS", 0}, {"RW", 1}, {"PHI2", 1}}, {{"CS", 0}, {"RW", 0}, {"PHI2", 1}}},
      {"6845", {{"CS", 0}, {"RW", 1}, {"E", 1}}, {{"CS", 0}, {"RW", 0}, {"E", 1}}},
      {"Z80-PIO", {{"CE", 0}, {"IORQ", 0}, {"M1", 1}, {"RD", 0}}, {{"CE", 0}, {"IORQ", 0}, {"M1", 1}, {"RD", 1}}},
      {"Z80-CTC", {{"CE", 0}, {"IORQ", 0}, {"M1", 1}, {"RD", 0}}, {{"CE", 0}, {"IORQ", 0}, {"M1", 1}, {"RD", 1}}}};
  for (const Chip& row : table) {
    CAPTURE(row.id);
    const PartType& type = chip(row.id);
    Bench bench(type);
    std::vector<std::string> control;
    for (const auto& [name, level] : row.read) control.push_back(name);
    const Block& block = type.blocks.front();
    REQUIRE(block.kind == Template::peripheral);
    for (std::uint32_t word = 0; word < 1U << control.size(); ++word) {
      std::map<std::string, bool> levels;
      for (std::size_t k = 0; k < control.size(); ++k) bench.set(control[k], levels[control[k]] = (word >> k & 1U) != 0);
      const bool selected = bench.holds(block, "select");
      CHECK((selected && bench.holds(block, "read")) == (levels == row.read));
      CHECK((selected && bench.holds(block, "write")) == (levels == row.write));
    }
  }
}

TEST_CASE("every integrated circuit has its supplies and drives each of its outputs") {
  const std::set<Template> circuit{Template::gate,  Template::reg,    Template::latch,     Template::counter,    Template::shift, Template::one_shot,
                                   Template::timer, Template::memory, Template::processor, Template::peripheral, Template::box};
  std::size_t seen = 0;
  for (const std::string& id : library().ids()) {
    const PartType& type = chip(id);
    const auto dip = [&](const std::string& package) { return package.rfind("DIP-", 0) == 0 && package.substr(4) == std::to_string(type.pins.size()); };
    if (!std::any_of(type.packages.begin(), type.packages.end(), dip) || type.pins.size() < 8) continue;
    if (std::none_of(type.blocks.begin(), type.blocks.end(), [&](const Block& block) { return circuit.count(block.kind) != 0; })) continue;
    ++seen;
    CAPTURE(id);
    std::set<std::string> numbers;
    std::set<std::uint16_t> driven;
    for (const parts::Pin& pin : type.pins) CHECK(numbers.insert(pin.number).second);
    for (std::size_t k = 1; k <= type.pins.size(); ++k) CHECK(numbers.count(std::to_string(k)) == 1);
    for (const Block& block : type.blocks) {
      for (const auto& [name, pins] : block.ports)
        for (const std::string_view drives : {"out", "q", "qn", "outn", "carry", "data", "address", "outputs", "ports", "irq", "discharge"})
          if (name == drives) driven.insert(pins.begin(), pins.end());
      for (const auto& cycle : block.cycles)
        for (const auto& [pin, high] : cycle.setup) driven.insert(pin);
    }
    const auto count = [&](PinRole role) { return std::count_if(type.pins.begin(), type.pins.end(), [&](const parts::Pin& pin) { return pin.role == role; }); };
    CHECK(count(PinRole::supply) >= 1);
    CHECK(count(PinRole::supply) + count(PinRole::ground) >= 2);
    for (std::uint16_t at = 0; at < type.pins.size(); ++at) {
      const PinRole role = type.pins[at].role;
      if (!parts::can_drive(role) || role == PinRole::bidirectional) continue;
      CAPTURE(type.pins[at].name);
      CHECK(driven.count(at) == 1);
    }
  }
  CHECK(seen >= 180);
}
