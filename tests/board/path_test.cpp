#include "sample.h"

using namespace halfsplit;
using namespace halfsplit::board;

namespace {

std::vector<std::string> walk(const Machine& machine, const char* from, const char* to) {
  std::vector<std::string> out;
  for (const PinId pin : machine.path(machine.find_part(from).value(), machine.find_pin(to).value())) out.push_back(machine.name_of(pin));
  return out;
}
using Names = std::vector<std::string>;

}  // namespace

TEST_CASE("a path alternates through nets and parts the way signals go") {
  const auto machine = sample::machine(sample::bell());
  CHECK(walk(*machine, "U1", "U2.2") == Names{"U1.2", "U2.2"});
  CHECK(walk(*machine, "J1", "U2.18") == Names{"J1.3", "U1.1", "U1.2", "U2.2", "U2.18"});
  CHECK(walk(*machine, "JP1", "U2.4") == Names{"JP1.2", "U2.4"});
  CHECK(walk(*machine, "U1", "U1.4") == Names{"U1.4"});  // a pin of its own
}

TEST_CASE("signals do not flow out of inputs or through power") {
  const auto machine = sample::machine(sample::bell());
  CHECK(walk(*machine, "U2", "U1.1").empty());   // only against the flow
  CHECK(walk(*machine, "R1", "C1.1").empty());   // over +5V only
  CHECK(walk(*machine, "U1", "U2.13").empty());  // on no net
}

TEST_CASE("parts that are not fitted are no way") {
  const auto machine = sample::machine(sample::changed(sample::bell(), "parts.toml", "JP1 = \"jumper-open\"", "JP1 = { type = \"jumper-open\", fitted = false }"));
  CHECK(walk(*machine, "U1", "U2.4") != Names{"U1.4", "JP1.1", "JP1.2", "U2.4"});
  const auto fitted = sample::machine(sample::bell());
  CHECK(walk(*fitted, "U1", "U2.4") == Names{"U1.4", "JP1.1", "JP1.2", "U2.4"});
}

TEST_CASE("a path crosses a plug") {
  const auto machine = sample::machine(sample::organ());
  CHECK(walk(*machine, "SW1", "U1.3") == Names{"SW1.2", "scan/J3~kbd/J1.b2", "scan/J3~kbd/J1.a2", "U1.3"});
}
