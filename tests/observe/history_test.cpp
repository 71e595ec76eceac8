// Epochs between repairs, the state of the bench, undo.
#include <doctest/doctest.h>

#include "observe/history.h"

using namespace halfsplit;
using namespace halfsplit::observe;

namespace {

Observation seen(const char* typed) {
  Observation out;
  out.typed = typed;
  return out;
}

}  // namespace

TEST_CASE("an empty history has one empty epoch and the complete machine") {
  History history;
  REQUIRE(history.epochs().size() == 1);
  CHECK(history.epochs()[0].first == history.epochs()[0].last);
  CHECK(history.state() == board::Setup{});
  CHECK(history.evidence().empty());
  CHECK_FALSE(history.undo().has_value());
}

TEST_CASE("a repair begins an epoch and evidence is of the last one") {
  History history;
  history.add(seen("a"));
  history.add(Note{"looked at it", ""});
  history.add(Repair{});
  history.add(seen("b"));
  history.add(seen("c"));
  const auto epochs = history.epochs();
  REQUIRE(epochs.size() == 2);
  CHECK(epochs[0].first == 0);
  CHECK(epochs[0].last == 2);
  CHECK(epochs[1].first == 2);
  CHECK(epochs[1].last == 5);
  REQUIRE(history.evidence().size() == 2);
  CHECK(history.evidence()[0].typed == "b");
  CHECK(history.evidence()[1].typed == "c");
  CHECK(history.repairs().size() == 1);
}

TEST_CASE("undo takes the last event away and an undone repair brings its evidence back") {
  History history;
  history.add(seen("a"));
  history.add(Repair{});
  CHECK(history.evidence().empty());
  const auto undone = history.undo();
  REQUIRE(undone.has_value());
  CHECK(std::holds_alternative<Repair>(*undone));
  REQUIRE(history.evidence().size() == 1);
  CHECK(history.evidence()[0].typed == "a");
  CHECK(history.epochs().size() == 1);
}

TEST_CASE("the bench state is that of the last change and undo brings the one before back") {
  const board::Setup off({board::Action{.kind = board::Action::Kind::power_off}});
  History history;
  history.add(StateChange{off, "", "power-off", {}, {}});
  history.add(seen("a"));
  CHECK(history.state() == off);
  history.add(StateChange{board::Setup{}, "", "power-on", {}, {}});
  CHECK(history.state() == board::Setup{});
  history.undo();
  CHECK(history.state() == off);
  history.add(Repair{});
  CHECK(history.state() == off);
}
