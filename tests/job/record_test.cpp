#include <doctest/doctest.h>

#include <limits>

#include "base/random.h"
#include "bench.h"
#include "job/record.h"

using namespace halfsplit;
using namespace halfsplit::job;
using observe::Kind;
using observe::Observation;
using observe::Point;
using Do = board::Action::Kind;

namespace {

Line line_of(std::string typed) {
  Line line;
  line.kind = LineKind::read;
  line.typed = std::move(typed);
  line.when = "2026-11-25T10:00:00Z";
  return line;
}

bool same(const Observation& a, const Observation& b) {
  return a.setup == b.setup && a.point == b.point && a.kind == b.kind && a.value == b.value && a.when == b.when && a.condition == b.condition && a.share == b.share && a.sure == b.sure &&
         a.cycle == b.cycle && a.how == b.how && a.typed == b.typed;
}

/// Through the record and back on the same machine.
observe::Event again(const observe::Event& event, const board::Machine& machine, const Line& line) {
  const Record record = record_of(event, machine);
  CHECK(record.value.find('\n') == std::string::npos);
  const auto read = read_record(record.value, machine, line);
  REQUIRE_MESSAGE(read.ok(), (record.value + " " + (read.ok() ? "" : read.error().text())));
  return read.value();
}

void check_again(const Observation& seen, const board::Machine& machine) {
  const Line line = line_of("as typed");
  Observation expected = seen;
  expected.when = line.when;
  if (expected.typed.empty()) expected.typed = line.typed;
  const auto event = again(seen, machine, line);
  REQUIRE(std::holds_alternative<Observation>(event));
  CAPTURE(record_of(seen, machine).value);
  CAPTURE(record_of(event, machine).value);
  CHECK(same(std::get<Observation>(event), expected));
}

Observation probe(const board::Machine& machine, const char* pin, observe::Word word) {
  Observation out;
  out.point.at = Point::At::leg;
  out.point.pin = machine.find_pin(pin).value();
  out.value.word = word;
  return out;
}

/// Any observation that the types can hold.
Observation drawn(Random& random, const board::Machine& machine) {
  const auto pin = [&] { return board::PinId(random.below(machine.pins().size())); };
  const auto net = [&] { return board::NetId(random.below(machine.nets().size())); };
  const auto part = [&] { return board::PartId(random.below(machine.parts().size())); };
  const auto point = [&] {
    Point out;
    out.at = static_cast<Point::At>(random.below(6));
    if (out.at == Point::At::leg) {
      out.pin = pin();
      out.side = static_cast<observe::Side>(random.below(6));
      if (out.side == observe::Side::pad) out.net = machine.pin(out.pin).net;
    }
    if (out.at == Point::At::net) out.net = net();
    if (out.at == Point::At::pair) {
      if (random.chance(0.5)) out.pin = pin(); else out.net = net();
      if (random.chance(0.5)) out.other = pin(); else out.other_net = net();
    }
    if (out.at == Point::At::part) out.part = part();
    if (out.at == Point::At::function) out.function = board::FunctionId(random.below(machine.functions().size()));
    return out;
  };
  const auto action = [&] {
    board::Action out;
    out.kind = static_cast<Do>(random.below(9));
    if (out.kind == Do::pull || out.kind == Do::unplug || out.kind == Do::hold) out.part = part();
    if (out.kind == Do::lift || out.kind == Do::bridge || out.kind == Do::force_low || out.kind == Do::force_high) out.pin = pin();
    if (out.kind == Do::bridge) out.other = pin();
    if (out.kind == Do::open) out.what = random.chance(0.5) ? "lid" : "back \"of\" it\\";
    return out;
  };
  Observation out;
  std::vector<board::Action> actions;
  for (std::uint64_t i = random.below(4); i > 0; --i) actions.push_back(action());
  out.setup = board::Setup(actions);
  out.point = point();
  out.kind = static_cast<Kind>(random.below(24));
  if (random.chance(0.4)) out.value.word = static_cast<observe::Word>(random.below(19));
  if (random.chance(0.5)) {
    out.value.unit = static_cast<observe::Unit>(1 + random.below(10));
    out.value.from = random.normal() * 1e-6;
    out.value.to = random.chance(0.1) ? std::numeric_limits<double>::infinity() : out.value.from + random.uniform();
    if (random.chance(0.1)) out.value.from = -std::numeric_limits<double>::infinity();
  }
  out.value.about = random.chance(0.2);
  if (random.chance(0.2)) out.value.wanted_got = {static_cast<std::uint32_t>(random.next()), static_cast<std::uint32_t>(random.below(256))};
  if (random.chance(0.2)) out.value.relative = observe::Relative{static_cast<observe::Relative::How>(random.below(6)), {}};
  if (out.value.relative && random.chance(0.7)) out.value.relative->other = point();
  if (random.chance(0.2)) out.value.note = "fine, '\"; \xc3\xa4";
  out.share.trials = static_cast<std::uint32_t>(1 + random.below(20));
  out.share.seen = static_cast<std::uint32_t>(random.below(out.share.trials + 1));
  if (random.chance(0.3)) out.condition = "after 15min";
  out.sure = random.chance(0.3);
  if (random.chance(0.2)) out.cycle = "read ROM";
  if (random.chance(0.2)) out.how = "scope";
  if (random.chance(0.2)) out.typed = "no picture";
  return out;
}

}  // namespace

TEST_CASE("a reading goes through its record unchanged") {
  const auto machine = bench::machine();
  Observation seen = probe(*machine, "U2.18", observe::Word::low);
  seen.value = {.from = 4.31, .to = 4.31, .unit = observe::Unit::volts};
  seen.kind = Kind::volts_dc;
  seen.setup = board::Setup({{.kind = Do::pull, .part = machine->find_part("U1").value()}});
  const Record record = record_of(seen, *machine);
  CHECK(record.kind == "observation");
  CHECK(record.text == "U2.18 (1Y0): DC volts 4.31 V");
  CHECK(record.value == R"({"kind":"observation","point":{"at":"leg","pin":"U2.18"},"look":"volts-dc","value":{"unit":"volts","from":4.31,"to":4.31},"setup":[{"do":"pull","part":"U1"}]})");
  check_again(seen, *machine);
}

TEST_CASE("every observation that the types can hold goes through its record unchanged") {
  const auto machine = bench::machine();
  Random random(20261125);
  for (int i = 0; i < 2000; ++i) {
    CAPTURE(i);
    check_again(drawn(random, *machine), *machine);
  }
}

TEST_CASE("the wording of a record is what the line does not say") {
  const auto machine = bench::machine();
  Observation seen = probe(*machine, "U2.18", observe::Word::low);
  seen.typed = "U2.18 low";
  CHECK(record_of(seen, *machine, "U2.18 low").value == record_of(probe(*machine, "U2.18", observe::Word::low), *machine).value);
  CHECK(record_of(seen, *machine, "U2.18 low, U2.16 low").value.find("wording") != std::string::npos);
}

TEST_CASE("repairs and states and notes go through their records unchanged") {
  const auto machine = bench::machine();
  const Line line = line_of("U2 replaced");
  const observe::Repair repair{machine->find_part("U2").value(), machine->find_pin("U2.18").value(), observe::Repair::Act::resoldered, "", ""};
  const auto mended = std::get<observe::Repair>(again(repair, *machine, line));
  CHECK(mended.part == repair.part);
  CHECK(mended.pin == repair.pin);
  CHECK(mended.act == repair.act);
  CHECK(mended.typed == "U2 replaced");
  CHECK(mended.when == line.when);
  CHECK(record_of(repair, *machine).text == "U2.18 resoldered");
  observe::StateChange state;
  state.now = board::Setup({{.kind = Do::power_off}, {.kind = Do::open, .what = "lid"}});
  CHECK(std::get<observe::StateChange>(again(state, *machine, line)).now == state.now);
  state.done = {{.kind = Do::open, .what = "lid"}, {.kind = Do::power_off}};
  state.remark = "5 screws";
  const auto noted = std::get<observe::StateChange>(again(state, *machine, line));
  CHECK(noted.done == state.done);
  CHECK(noted.remark == "5 screws");
  state.done.clear();
  state.remark.clear();
  state.now = {};
  CHECK(std::get<observe::StateChange>(again(state, *machine, line)).now == state.now);
  CHECK(std::get<observe::Note>(again(observe::Note{"old solder \x01", ""}, *machine, line)).text == "old solder \x01");
}

TEST_CASE("a job is resolved again on a machine whose files have changed") {
  const auto before = bench::machine();
  std::vector<Line> lines = {line_of("U2.18 low"), line_of("U1.2 pulsing"), line_of("BELL low"), line_of("U2 replaced"), line_of("U2.18 pulsing")};
  Observation net = probe(*before, "U2.18", observe::Word::low);
  net.point = {};
  net.point.at = Point::At::net;
  net.point.net = before->find_net("BELL").value();
  Observation in_setup = probe(*before, "U1.2", observe::Word::pulsing);
  in_setup.setup = board::Setup({{.kind = Do::pull, .part = before->find_part("U2").value()}});
  lines[0].records = {record_of(probe(*before, "U2.18", observe::Word::low), *before)};
  lines[1].records = {record_of(probe(*before, "U1.2", observe::Word::pulsing), *before), record_of(in_setup, *before)};
  lines[2].records = {record_of(net, *before)};
  lines[3].records = {record_of(observe::Repair{before->find_part("U2").value(), {}, observe::Repair::Act::replaced, "", ""}, *before)};
  lines[4].records = {record_of(probe(*before, "U2.18", observe::Word::pulsing), *before)};

  const Resolved same = resolve(lines, *before);
  CHECK(same.lost.empty());
  CHECK(same.history.events().size() == 6);
  CHECK(same.line_of == std::vector<std::size_t>{0, 1, 1, 2, 3, 4});
  CHECK(same.history.epochs().size() == 2);

  // The part is called U5 now, its net OUT: nothing of it resolves, nothing of it is dropped.
  const auto after = bench::machine(bench::files("U5", "OUT"));
  const Resolved changed = resolve(lines, *after);
  CHECK(changed.history.events().size() == 1);
  CHECK(changed.line_of == std::vector<std::size_t>{1});
  REQUIRE(changed.lost.size() == 5);
  CHECK(changed.lost[0].typed == "U2.18 low");
  CHECK(changed.lost[0].text == "U2.18 (1Y0): probe low");
  CHECK(changed.lost[1].line == 1);
  CHECK(changed.lost[1].record == 1);
  CHECK(changed.lost[2].typed == "BELL low");
  for (const Lost& lost : changed.lost) CHECK(lost.why.code == ErrorCode::not_found);
}

TEST_CASE("a pad is where its pin is now") {
  const auto before = bench::machine(), after = bench::machine(bench::files("U2", "OUT"));
  Observation seen = probe(*before, "U2.18", observe::Word::low);
  seen.point.side = observe::Side::pad;
  seen.point.net = before->find_net("BELL").value();
  const auto event = read_record(record_of(seen, *before).value, *after, line_of("x"));
  CHECK_FALSE(event.ok());  // its net has gone: the drawing has changed there, the person is asked
  const auto back = read_record(record_of(seen, *before).value, *before, line_of("x"));
  REQUIRE(back.ok());
  CHECK(std::get<Observation>(*back).point == seen.point);
}

TEST_CASE("what is no record is refused") {
  const auto machine = bench::machine();
  const Line line = line_of("x");
  for (const char* value :
       {"", "null", "[]", "{}", "{\"kind\":\"wish\"}", "{\"kind\":\"note\"", "{\"kind\":\"note\",\"text\":7}", "{\"kind\":\"note\",\"text\":\"a\",\"more\":1}",
        R"({"kind":"observation"})", R"({"kind":"observation","point":{"at":"leg"},"look":"probe","value":{"word":"low"}})",
        R"({"kind":"observation","point":{"at":"leg","pin":"U2.18"},"look":"prob","value":{"word":"low"}})",
        R"({"kind":"observation","point":{"at":"leg","pin":"U2.18"},"look":"probe","value":{"word":"lowish"}})",
        R"({"kind":"observation","point":{"at":"leg","pin":"U2.18"},"look":"probe","value":{"from":1}})",
        R"({"kind":"observation","point":{"at":"leg","pin":"U2.18"},"look":"probe","value":{"unit":"volts","from":2,"to":1}})",
        R"({"kind":"observation","point":{"at":"leg","pin":"U2.18"},"look":"probe","value":{"word":"low"},"seen":11,"trials":10})",
        R"({"kind":"observation","point":{"at":"leg","pin":"U2.18"},"look":"probe","value":{"word":"low"},"seen":-1})",
        R"({"kind":"observation","point":{"at":"leg","pin":"U2.18"},"look":"probe","value":{"wanted":1}})",
        R"({"kind":"observation","point":{"at":"leg","pin":"U2.18"},"look":"probe","value":{"word":"low"},"setup":[{"do":"pull"}]})",
        R"({"kind":"observation","point":{"at":"leg","pin":"U2.18"},"look":"probe","value":{"word":"low"},"setup":{"do":"power-off"}})",
        R"({"kind":"state"})", R"({"kind":"repair","act":"replaced"})", R"({"kind":"repair","act":"blessed","part":"U2"})"}) {
    CAPTURE(value);
    const auto event = read_record(value, *machine, line);
    REQUIRE_FALSE(event.ok());
    CHECK(event.error().code == ErrorCode::bad_input);
  }
  CHECK(read_record(R"({"kind":"repair","act":"replaced","part":"U99"})", *machine, line).error().code == ErrorCode::not_found);
}
