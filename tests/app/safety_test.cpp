// A rail that was dangerous stays a stop until it has been measured again, whatever was mended or changed meanwhile.
#include "app/safety.h"

#include <algorithm>

#include "app/advice.h"
#include "bench.h"
#include "board/spec.h"

using namespace halfsplit;

namespace {

struct Bench {
  std::shared_ptr<const board::Machine> machine;
  observe::History history;
  Bench() {
    const auto library = parts::Library::open(std::string(HALFSPLIT_SOURCE_DIR) + "/shared/parts").value();
    machine = board::load_machine(std::string(HALFSPLIT_SOURCE_DIR) + "/boards/osprill-home-8", library).value();
  }
  void volts(double value) {
    observe::Observation seen;
    seen.point.at = observe::Point::At::leg;
    seen.point.pin = machine->find_pin("U3.11").value();
    seen.kind = observe::Kind::volts_dc;
    seen.value.from = seen.value.to = value;
    seen.value.unit = observe::Unit::volts;
    history.add(seen);
  }
  std::size_t stops() const { return app::stops(history, *machine).size(); }
};

}  // namespace

TEST_CASE("a rail within its limits is no stop") {
  Bench bench;
  bench.volts(5.02);
  CHECK(bench.stops() == 0);
}

TEST_CASE("a repair does not lift the stop of a rail that was too high") {
  Bench bench;
  bench.volts(6.4);
  REQUIRE(bench.stops() == 1);
  observe::Repair repair;
  repair.part = bench.machine->find_part("U30").value();
  bench.history.add(repair);
  REQUIRE(bench.stops() == 1);
  const std::string told = app::stops(bench.history, *bench.machine).front();
  CHECK(told.find("has not been measured since") != std::string::npos);
  CHECK(told.find("dummy load") != std::string::npos);
  bench.volts(5.01);
  CHECK(bench.stops() == 0);
}

TEST_CASE("nor does a change of the board") {
  Bench bench;
  bench.volts(6.4);
  observe::Amended change;
  change.ours = true;
  bench.history.add(change);
  CHECK(bench.stops() == 1);
  bench.volts(6.3);
  CHECK(bench.stops() == 1);
}

namespace {

using job::LineKind;
using observe::Kind;

bool told(const std::vector<std::string>& lines, const std::string& words) {
  return std::any_of(lines.begin(), lines.end(), [&](const std::string& line) { return line.find(words) != std::string::npos; });
}

/// One memory with three supplies, as text of a machine.
std::shared_ptr<const board::Machine> three_supplies() {
  const board::SpecFiles files = {{"machine.toml", "format = 1\nid = \"three\"\ntitle = \"three supplies\"\n"},
                                  {"board.toml", "format = 1\ntitle = \"b\"\ngrounds = [\"GND\"]\n[[supply]]\nnet = \"-5V\"\nvolts = -5\n[[supply]]\nnet = \"+5V\"\nvolts = 5\n[[supply]]\nnet = \"+12V\"\nvolts = 12\n"},
                                  {"parts.toml", "format = 1\n[parts]\nU1 = { type = \"4116\", socketed = true }\n"},
                                  {"nets.toml", "format = 1\n[nets]\n\"-5V\" = \"U1.1\"\n\"+5V\" = \"U1.9\"\n\"+12V\" = \"U1.8\"\nGND = \"U1.16\"\n"}};
  const auto library = parts::Library::open(std::string(HALFSPLIT_SOURCE_DIR) + "/shared/parts").value();
  return board::build(board::parse_spec(files).value(), library).value();
}

observe::Observation volts_at(const board::Machine& machine, const char* pin, double value) {
  observe::Observation seen;
  seen.point.at = observe::Point::At::leg;
  seen.point.pin = machine.find_pin(pin).value();
  seen.kind = Kind::volts_dc;
  seen.value.from = seen.value.to = value;
  seen.value.unit = observe::Unit::volts;
  return seen;
}

fault::Query query_at(const board::Machine& machine, const char* part, Kind kind) {
  fault::Query out;
  out.point.at = observe::Point::At::part;
  out.point.part = machine.find_part(part).value();
  out.kind = kind;
  return out;
}

}  // namespace

TEST_CASE("a bias rail that is not measured stops the machine and only a short look at it is proposed") {
  const auto machine = three_supplies();
  observe::History history;
  REQUIRE(app::stops(history, *machine).size() == 1);
  CHECK(told(app::stops(history, *machine), "-5V is not measured yet"));
  const auto looks = app::short_looks(history, *machine);
  REQUIRE(looks.size() == 1);
  fault::Query bias, other;
  bias.point = volts_at(*machine, "U1.1", 0).point;
  other.point = volts_at(*machine, "U1.9", 0).point;
  bias.kind = other.kind = Kind::volts_dc;
  CHECK(app::may_propose(bias, *machine, false, true, looks));
  CHECK_FALSE(app::may_propose(other, *machine, false, true, looks));
  history.add(volts_at(*machine, "U1.8", 19));
  CHECK(app::short_looks(history, *machine).empty());
  observe::History good;
  good.add(volts_at(*machine, "U1.1", -5.02));
  CHECK(app::stops(good, *machine).empty());
}

TEST_CASE("a current far above what the chips take is a stop") {
  bench::Job job("osprill-home-8");
  job.say(LineKind::read, "machine 900mA");
  CHECK(app::stops(job.sitting().history(), job.machine()).empty());
  job.say(LineKind::read, "machine 5.2A");
  CHECK(told(app::stops(job.sitting().history(), job.machine()), "far above"));
}

TEST_CASE("all selects active is a stop and one idle lifts it") {
  const board::SpecFiles files = {{"machine.toml", "format = 1\nid = \"roms\"\ntitle = \"three memories\"\n"},
                                  {"board.toml", "format = 1\ntitle = \"b\"\ngrounds = [\"GND\"]\n[[supply]]\nnet = \"+5V\"\nvolts = 5\n"},
                                  {"parts.toml", "format = 1\n[parts]\nU1 = \"2764\"\nU2 = \"2764\"\nU3 = \"2764\"\n"},
                                  {"nets.toml", "format = 1\n[nets]\n\"+5V\" = \"U1.28 U2.28 U3.28\"\nGND = \"U1.14 U2.14 U3.14\"\nS1 = \"U1.20\"\nS2 = \"U2.20\"\nS3 = \"U3.20\"\n"}};
  const auto library = parts::Library::open(std::string(HALFSPLIT_SOURCE_DIR) + "/shared/parts").value();
  const auto machine = board::build(board::parse_spec(files).value(), library).value();
  observe::History history;
  const auto read = [&](const char* pin, observe::Word word) {
    observe::Observation seen = volts_at(*machine, pin, 0);
    seen.kind = Kind::probe;
    seen.value = {};
    seen.value.word = word;
    history.add(seen);
  };
  read("U1.20", observe::Word::low);
  read("U2.20", observe::Word::low);
  CHECK(app::stops(history, *machine).empty());
  read("U3.20", observe::Word::low);
  CHECK(told(app::stops(history, *machine), "every select"));
  read("U3.20", observe::Word::pulsing);
  CHECK(app::stops(history, *machine).empty());
}

TEST_CASE("with a mains supply open powered tests are for the qualified") {
  bench::Job job("osprill-home-8");
  fault::Query query;
  query.point = volts_at(job.machine(), "U3.11", 0).point;
  query.kind = Kind::volts_dc;
  CHECK(app::may_propose(query, job.machine(), false, false));
  job.say(LineKind::state, "supply-lid-off");
  query.setup = job.sitting().state();
  CHECK_FALSE(app::may_propose(query, job.machine(), false, false));
  CHECK(app::may_propose(query, job.machine(), true, false));
  query.setup = query.setup.with({board::Action::Kind::power_off, {}, {}, {}, {}});
  CHECK(app::may_propose(query, job.machine(), false, false));
  CHECK(told(app::bench_cautions(job.sitting().history(), job.machine()), "until the supply-lid is back on"));
  CHECK_FALSE(told(app::bench_cautions(job.sitting().history(), job.machine(), true), "until the supply-lid"));
}

TEST_CASE("an earthed instrument is never proposed in a zone of mains") {
  bench::Job job("osprill-home-8");
  CHECK_FALSE(app::may_propose(query_at(job.machine(), "SUPPLY", Kind::frequency), job.machine(), true, false));
  CHECK(app::may_propose(query_at(job.machine(), "SUPPLY", Kind::volts_dc), job.machine(), true, false));
  CHECK_FALSE(app::may_propose(query_at(job.machine(), "SUPPLY", Kind::volts_dc), job.machine(), false, false));
}

TEST_CASE("what is moved with the power on is told") {
  bench::Job job("osprill-primer");
  CHECK(told(job.enter(LineKind::state, "U1-out").slip.cautions, "with the power off only"));
  CHECK(told(job.enter(LineKind::state, "U1-in").slip.cautions, "with the power off only"));
  CHECK_FALSE(told(job.enter(LineKind::state, "power-off U1-out").slip.cautions, "with the power off only"));
  CHECK_FALSE(told(job.enter(LineKind::state, "U1-in power-on").slip.cautions, "with the power off only"));
}

TEST_CASE("leaks and solvents and supplies are told about") {
  bench::Job job("osprill-primer");
  CHECK(told(job.enter(LineKind::read, "C2 leaking").slip.cautions, "eye protection"));
  CHECK(told(job.enter(LineKind::repair, "U7 cleaned").slip.cautions, "until everything is dry"));
  CHECK(told(job.enter(LineKind::repair, "U10 replaced").slip.cautions, "dummy load"));
  CHECK(job.enter(LineKind::repair, "U9 replaced").slip.cautions.empty());
}

TEST_CASE("the rails come before a new chip") {
  bench::Job job("osprill-primer");
  const board::PartId chip = job.machine().find_part("U7").value();
  CHECK(app::unproven_rails(chip, job.sitting().history(), job.machine()).size() == 1);
  job.say(LineKind::read, "+5V 5.02V");
  CHECK(app::unproven_rails(chip, job.sitting().history(), job.machine()).empty());
  job.say(LineKind::repair, "U5 replaced");
  CHECK(app::unproven_rails(chip, job.sitting().history(), job.machine()).size() == 1);
}
