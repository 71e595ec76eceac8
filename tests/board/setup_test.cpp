#include "board/setup.h"

#include "sample.h"

using namespace halfsplit;
using namespace halfsplit::board;
using Kind = Action::Kind;

namespace {

Action on_pin(Kind kind, PinId pin, PinId other = {}) {
  Action action;
  action.kind = kind;
  action.pin = pin;
  action.other = other;
  return action;
}
Action on_part(Kind kind, PartId part) {
  Action action;
  action.kind = kind;
  action.part = part;
  return action;
}

}  // namespace

TEST_CASE("a set-up is the same whatever the order of its actions") {
  const Action pull = on_part(Kind::pull, PartId(1)), lift = on_pin(Kind::lift, PinId(3));
  CHECK(Setup({pull, lift}) == Setup({lift, pull, lift}));
  CHECK(Setup({pull}).with(lift) == Setup({lift}).with(pull));
  CHECK(Setup({pull, lift}).without(pull) == Setup({lift}));
  CHECK(Setup({pull}).without(lift) == Setup({pull}));
  CHECK(Setup().actions().empty());
}

TEST_CASE("power is on until it is switched off") {
  Action off;
  CHECK(Setup().powered());
  CHECK_FALSE(Setup({off}).powered());
  CHECK(Setup({off}).without(off).powered());
  CHECK(Setup({off}).has(Kind::power_off));
}

TEST_CASE("forcing a pin the other way takes back the first") {
  const Setup low = Setup().with(on_pin(Kind::force_low, PinId(5)));
  const Setup high = low.with(on_pin(Kind::force_high, PinId(5)));
  CHECK(high.actions().size() == 1);
  CHECK(high.has(Kind::force_high));
  CHECK(low.with(on_pin(Kind::force_high, PinId(6))).actions().size() == 2);
}

TEST_CASE("a bridge has no direction") {
  CHECK(Setup({on_pin(Kind::bridge, PinId(2), PinId(1))}) == Setup({on_pin(Kind::bridge, PinId(1), PinId(2))}));
  CHECK(Setup({on_pin(Kind::bridge, PinId(2), PinId(1))}).without(on_pin(Kind::bridge, PinId(2), PinId(1))) == Setup());
}

TEST_CASE("actions are told in words") {
  const auto machine = sample::machine(sample::bell());
  const PartId part = machine->find_part("U2").value();
  const PinId pin = machine->find_pin("U2.4").value(), other = machine->find_pin("U2.5").value();
  Action lid;
  lid.kind = Kind::open;
  lid.what = "lid";
  CHECK(describe(Action(), *machine) == "power off");
  CHECK(describe(on_part(Kind::pull, part), *machine) == "U2 out");
  CHECK(describe(on_part(Kind::unplug, machine->find_part("J1").value()), *machine) == "J1 unplugged");
  CHECK(describe(on_part(Kind::hold, machine->find_part("SW1").value()), *machine) == "SW1 held");
  CHECK(describe(on_pin(Kind::lift, pin), *machine) == "U2.4 lifted");
  CHECK(describe(on_pin(Kind::bridge, pin, other), *machine) == "U2.4 bridged to U2.5");
  CHECK(describe(on_pin(Kind::force_low, pin), *machine) == "U2.4 forced low");
  CHECK(describe(on_pin(Kind::force_high, pin), *machine) == "U2.4 forced high");
  CHECK(describe(lid, *machine) == "lid off");
  CHECK(describe(Setup(), *machine) == "complete, powered");
  CHECK(describe(Setup({lid, on_part(Kind::pull, part)}), *machine) == "U2 out, lid off");
}
