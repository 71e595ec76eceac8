#include <doctest/doctest.h>

#include "base/random.h"
#include "parts/expression.h"

using namespace halfsplit;
using namespace halfsplit::parts;

namespace {

const PinLookup kLetters = [](std::string_view name) -> std::optional<std::uint16_t> {
  if (name.size() != 1 || name[0] < 'A' || name[0] > 'F') return std::nullopt;
  return static_cast<std::uint16_t>(name[0] - 'A');
};

Expression parsed(std::string_view text) {
  auto result = parse_expression(text, kLetters, Place{"f", 1, 1});
  INFO(text);
  REQUIRE_MESSAGE(result.ok(), result.error().text());
  return std::move(result).value();
}

bool value(const Expression& expression, unsigned levels) {
  return evaluate(expression, [&](std::uint16_t pin) { return ((levels >> pin) & 1) != 0; });
}

/// All 64 rows of the truth table against a function of the six levels.
template <class Truth>
void same(std::string_view text, Truth truth) {
  const Expression expression = parsed(text);
  for (unsigned levels = 0; levels < 64; ++levels) {
    const auto bit = [&](int i) { return ((levels >> i) & 1) != 0; };
    INFO(text << " at " << levels);
    CHECK(value(expression, levels) == truth(bit(0), bit(1), bit(2), bit(3), bit(4), bit(5)));
  }
}

Error error_of(std::string_view text) {
  const auto result = parse_expression(text, kLetters, Place{"f.toml", 7, 11});
  INFO(text);
  REQUIRE(!result.ok());
  return result.error();
}

/// Every node comes after its operands, the root is last.
void check_postfix(const Expression& expression) {
  for (std::size_t i = 0; i < expression.nodes.size(); ++i)
    for (const auto arg : expression.nodes[i].args) CHECK(arg < i);
  std::vector<bool> used(expression.nodes.size(), false);
  for (const auto& node : expression.nodes)
    for (const auto arg : node.args) used[arg] = true;
  CHECK(!used.back());
  for (std::size_t i = 0; i + 1 < used.size(); ++i) CHECK(used[i]);
}

/// A random expression as text and as a function, built together.
struct Made { std::string text; std::vector<bool> truth; };
Made random_expression(Random& random, int depth) {
  Made out;
  const auto choice = depth == 0 ? random.below(2) : random.below(6);
  if (choice == 0) {
    const auto pin = random.below(6);
    out.text = std::string(1, static_cast<char>('A' + pin));
    for (unsigned levels = 0; levels < 64; ++levels) out.truth.push_back(((levels >> pin) & 1) != 0);
    return out;
  }
  if (choice == 1) {
    const bool one = random.chance(0.5);
    return {one ? "1" : "0", std::vector<bool>(64, one)};
  }
  Made a = random_expression(random, depth - 1);
  if (choice == 2) {
    a.truth.flip();
    return {"!(" + a.text + ")", a.truth};
  }
  const Made b = random_expression(random, depth - 1);
  const char sign = "&|^"[choice - 3];
  for (std::size_t i = 0; i < 64; ++i) {
    const bool x = a.truth[i], y = b.truth[i];
    out.truth.push_back(sign == '&' ? x && y : sign == '|' ? x || y : x != y);
  }
  out.text = "(" + a.text + ") " + sign + " (" + b.text + ")";
  return out;
}

}  // namespace

TEST_CASE("single operators agree with their truth tables") {
  same("A", [](bool a, bool, bool, bool, bool, bool) { return a; });
  same("!A", [](bool a, bool, bool, bool, bool, bool) { return !a; });
  same("!!A", [](bool a, bool, bool, bool, bool, bool) { return a; });
  same("0", [](bool, bool, bool, bool, bool, bool) { return false; });
  same("1", [](bool, bool, bool, bool, bool, bool) { return true; });
  same("A & B", [](bool a, bool b, bool, bool, bool, bool) { return a && b; });
  same("A|B", [](bool a, bool b, bool, bool, bool, bool) { return a || b; });
  same("A^B", [](bool a, bool b, bool, bool, bool, bool) { return a != b; });
  same("A^B^C^D^E^F", [](bool a, bool b, bool c, bool d, bool e, bool f) { return (a + b + c + d + e + f) % 2 == 1; });
}

TEST_CASE("binding is not before and before exclusive or before or") {
  same("A | B & C", [](bool a, bool b, bool c, bool, bool, bool) { return a || (b && c); });
  same("A & B | C & D", [](bool a, bool b, bool c, bool d, bool, bool) { return (a && b) || (c && d); });
  same("A ^ B & C", [](bool a, bool b, bool c, bool, bool, bool) { return a != (b && c); });
  same("A | B ^ C", [](bool a, bool b, bool c, bool, bool, bool) { return a || (b != c); });
  same("!A & B", [](bool a, bool b, bool, bool, bool, bool) { return !a && b; });
  same("!(A & B)", [](bool a, bool b, bool, bool, bool, bool) { return !(a && b); });
  same("(A | B) & (C | D)", [](bool a, bool b, bool c, bool d, bool, bool) { return (a || b) && (c || d); });
  same("!A & !B | A & B ^ (C & D | E & F)",
       [](bool a, bool b, bool c, bool d, bool e, bool f) { return (!a && !b) || ((a && b) != ((c && d) || (e && f))); });
}

TEST_CASE("random expressions agree with a table built beside them") {
  Random random(20);
  for (int round = 0; round < 400; ++round) {
    const Made made = random_expression(random, 5);
    const Expression expression = parsed(made.text);
    check_postfix(expression);
    for (unsigned levels = 0; levels < 64; ++levels) {
      INFO(made.text << " at " << levels);
      REQUIRE(value(expression, levels) == made.truth[levels]);
    }
  }
}

TEST_CASE("literals are told from compound expressions") {
  CHECK(parsed("A").is_literal());
  CHECK(parsed("!A").is_literal());
  CHECK(parsed("(A)").is_literal());
  CHECK(!parsed("!!A").is_literal());
  CHECK(!parsed("1").is_literal());
  CHECK(!parsed("!0").is_literal());
  CHECK(!parsed("A & B").is_literal());
}

TEST_CASE("names may hold digits plus minus dot underscore and quote") {
  const PinLookup any = [](std::string_view name) -> std::optional<std::uint16_t> { return name == "1Y+-._'" ? std::optional<std::uint16_t>(3) : std::nullopt; };
  const auto result = parse_expression(" 1Y+-._' ", any, {});
  REQUIRE(result.ok());
  CHECK(result.value().nodes[0].pin == 3);
}

TEST_CASE("errors point at the character") {
  CHECK(error_of("").place.text() == "f.toml:7:11");
  CHECK(error_of("A &").place.text() == "f.toml:7:14");
  CHECK(error_of("A & Z").place.text() == "f.toml:7:15");
  CHECK(error_of("A & Z").message == "no pin is named Z");
  CHECK(error_of("A & (B | C").place.text() == "f.toml:7:15");
  CHECK(error_of("A & B)").place.text() == "f.toml:7:16");
  CHECK(error_of("A B").place.text() == "f.toml:7:13");
  CHECK(error_of("A && B").place.text() == "f.toml:7:14");
  CHECK(error_of("/A").place.text() == "f.toml:7:11");
  CHECK(error_of("/A").hint.find("slash") == std::string::npos);
  CHECK(error_of("/A").message.find("slash") != std::string::npos);
  CHECK(error_of("A @ B").place.text() == "f.toml:7:13");
  CHECK(error_of("A & \xc3\xa9").place.text() == "f.toml:7:15");
  CHECK(error_of("~A").message == "not is written !");
}

TEST_CASE("deep and long expressions are refused") {
  CHECK(error_of(std::string(100000, '(')).message.find("64 deep") == std::string::npos);
  CHECK(error_of(std::string(4000, '(')).message.find("64 deep") != std::string::npos);
  CHECK(error_of(std::string(4000, '!') + "A").message.find("64 deep") != std::string::npos);
  CHECK(error_of(std::string(5000, ' ') + "A").message.find("4096") != std::string::npos);
}
