#include "observe/swap.h"

#include <doctest/doctest.h>

#include "board/spec.h"

using namespace halfsplit;
using observe::Swap;
using observe::SwapOutcome;

namespace {

struct Desk {
  std::shared_ptr<const board::Machine> machine;
  observe::History history;
  Desk() {
    const auto library = parts::Library::open(std::string(HALFSPLIT_SOURCE_DIR) + "/shared/parts").value();
    machine = board::load_machine(std::string(HALFSPLIT_SOURCE_DIR) + "/boards/osprill-home-8", library).value();
  }
  Result<Swap> read(const char* line) const { return observe::parse_swap(line, *machine, history); }
  void keep(const char* line) { history.add(observe::StateChange{read(line).value().now, "", line}); }
  std::string now() const { return board::describe(history.state(), *machine); }
};

}  // namespace

TEST_CASE("swaps are understood as people type them") {
  const Desk desk;
  CHECK(desk.read("U9 U10").value().way == Swap::Way::exchange);
  CHECK(desk.read("U9 with U10: no change").value().outcome == SwapOutcome::unchanged);
  CHECK(desk.read("u9 u10 moved").value().outcome == SwapOutcome::moved);
  CHECK(desk.read("U4 spare").value().grade == "untested");
  CHECK(desk.read("U4 spare known good").value().grade == "known-good");
  CHECK(desk.read("U4 spare known-good: cured").value().outcome == SwapOutcome::cured);
  CHECK(desk.read("U4 spare passed a tester, unchanged").value().grade == "tested");
  CHECK(desk.read("U4 spare new works now").value().outcome == SwapOutcome::cured);
  CHECK(desk.read("U9 elsewhere works").value().works);
  CHECK_FALSE(desk.read("U9 in another machine fails").value().works);
}

TEST_CASE("a wrong swap says what was understood and how to type the rest") {
  const Desk desk;
  const auto told = [&](const char* line) { return desk.read(line).error().message + " / " + desk.read(line).error().hint; };
  CHECK(told("U9 U10 banana").find("'U9 U10' understood, but not 'banana'") != std::string::npos);
  CHECK(told("U9").find("changed for what") != std::string::npos);
  CHECK(told("U9 elsewhere").find("how did it go") != std::string::npos);
  CHECK(told("U9 U99").find("U99") != std::string::npos);
  CHECK(told("U4 U9").find("pins don't fit") != std::string::npos);
  CHECK(told("U4 U9").find("U35") != std::string::npos);
  CHECK(told("back").find("own place") != std::string::npos);
  CHECK(told("unchanged").find("of which swap") != std::string::npos);
  CHECK(told("U9 back").find("own place") != std::string::npos);
}

TEST_CASE("each spare has a number and a grade of its own and swaps are undone by typing them again") {
  Desk desk;
  desk.keep("U4 spare new");
  desk.keep("U4 spare");
  CHECK(desk.now() == "untested spare in the place of U4");
  CHECK(observe::spares_in(desk.history).size() == 2);
  const board::PartId u4 = desk.machine->find_part("U4").value();
  CHECK(observe::grade_of_spare(u4, 1, desk.history) == "new");
  CHECK(observe::grade_of_spare(u4, 2, desk.history) == "untested");
  desk.keep("U4 back");
  desk.keep("U9 U10");
  CHECK(desk.now() == "U9 and U10 exchanged");
  CHECK(desk.read("unchanged").value().way == Swap::Way::none);
  desk.keep("U10 U9");
  CHECK(desk.now() == "complete, powered");
}
