#include <doctest/doctest.h>

#include <cmath>
#include <set>

#include "board/spec.h"
#include "knowledge/knowledge.h"
#include "knowledge/prior.h"
#include "predict/predictor.h"
#include "trial/rates.h"
#include "trial/stale.h"
#include "trial/world.h"

using namespace halfsplit;

namespace {

struct Bench {
  std::string root = HALFSPLIT_SOURCE_DIR;
  std::shared_ptr<const parts::Library> library = parts::Library::open(root + "/shared/parts").value();
  board::MachineSpec spec = board::load_spec(root + "/boards/osprill-primer").value();
  std::shared_ptr<const board::Machine> machine = board::build(spec, library).value();
  std::shared_ptr<const knowledge::Knowledge> known = knowledge::Knowledge::load(root + "/knowledge").value();
  fault::Catalogue catalogue = fault::Catalogue::build(*machine);
  std::unique_ptr<fault::Predictor> predictor = predict::make_predictor(*machine, catalogue, known->evidence(), logic::Activity::build(*machine));
  fault::FaultId stuck_high(const std::string& ref, const std::string& pin) const {
    for (const auto id : catalogue.faults_at(*catalogue.site_of_part(machine->find_part(ref).value())))
      if (catalogue.fault(id).effect == parts::Effect::stuck_high && catalogue.fault(id).pin == machine->find_pin(pin).value()) return id;
    FAIL("no such fault");
    return {};
  }
  fault::Query ask(const std::string& pin, observe::Kind kind) const {
    fault::Query query;
    query.kind = kind;
    query.point.at = observe::Point::At::leg;
    query.point.pin = machine->find_pin(pin).value();
    return query;
  }
};

}  // namespace

TEST_CASE("a stale drawing moves the share of pins it is told and builds and is the same again") {
  const Bench bench;
  std::size_t moved = 0, changed = 0;
  for (std::uint64_t seed = 1; seed <= 20; ++seed) {
    const auto drawing = trial::stale(bench.spec, {0.05, 1}, seed);
    const auto machine = board::build(drawing.spec, bench.library);
    REQUIRE(machine.ok());
    CHECK(board::same(drawing.spec, trial::stale(bench.spec, {0.05, 1}, seed).spec));
    CHECK((*machine)->parts().size() == bench.machine->parts().size());
    for (std::uint32_t i = 0; i < bench.machine->pins().size(); ++i) {
      const auto &a = bench.machine->pins()[i], &b = (*machine)->pins()[i];
      changed += a.net.known() && b.net.known() && bench.machine->net(a.net).name != (*machine)->net(b.net).name;
    }
    moved += drawing.changes.size() - 1;
  }
  CHECK(changed <= moved);  // a pin can move twice
  CHECK(changed * 10 >= moved * 9);
  CHECK(moved > 100);  // 5 % of about 180 pins on signal nets, twenty drawings
  CHECK(moved < 250);
}

TEST_CASE("uncertain rates keep the faults of one part in proportion and spread over classes and parts") {
  const Bench bench;
  const auto odds = knowledge::prior_odds(*bench.known, bench.catalogue, *bench.machine).value();
  const auto off = trial::uncertain_rates(odds, bench.catalogue, *bench.machine, {}, 4);
  std::set<long> shifts;
  for (const char* ref : {"U4", "U5", "U8"}) {
    const auto ids = bench.catalogue.faults_at(*bench.catalogue.site_of_part(bench.machine->find_part(ref).value()));
    std::optional<double> first;
    for (const auto id : ids) {
      if (!std::isfinite(odds.log_odds[id.index()])) continue;
      const double shift = off.log_odds[id.index()] - odds.log_odds[id.index()];
      if (!first) first = shift;
      CHECK(shift == doctest::Approx(*first));
    }
    shifts.insert(std::lround(*first * 1e6));
  }
  CHECK(shifts.size() == 3);
}

TEST_CASE("an intermittent fault shows in its share of the readings and always in what the owner tells") {
  const Bench bench;
  trial::Specimen specimen;
  specimen.duty = 0.4;
  trial::World world(*bench.machine, *bench.predictor, fault::Hypothesis(bench.stuck_high("U5", "U5.6")), {0, 0}, 9, specimen);
  int high = 0;
  for (int i = 0; i < 400; ++i) high += world.answer(bench.ask("U5.6", observe::Kind::probe))->word == observe::Word::high;
  CHECK(high > 120);
  CHECK(high < 200);
}

TEST_CASE("a hand that goes astray reads other pins and nothing and writes other units") {
  const Bench bench;
  const auto count = [&](trial::ReadingErrors errors, observe::Kind kind, auto odd) {
    trial::World world(*bench.machine, *bench.predictor, fault::Hypothesis(), errors, 7);
    int found = 0;
    for (int i = 0; i < 200; ++i) found += odd(*world.answer(bench.ask("U4.16", kind)));
    CHECK(static_cast<int>(world.wrong_readings()) >= found);
    return found;
  };
  const auto volts_off = [](const observe::Value& v) { return v.from < 4.5 || v.from > 5.5; };
  CHECK(count({0, 0, 0, 0, 0}, observe::Kind::volts_dc, volts_off) == 0);
  CHECK(count({0, 1, 0, 0, 0}, observe::Kind::volts_dc, volts_off) > 100);   // U4.15 is a select line
  CHECK(count({0, 0, 1, 0, 0}, observe::Kind::volts_dc, volts_off) > 100);
  CHECK(count({0, 0, 0, 1, 0}, observe::Kind::volts_dc, [](const observe::Value& v) { return v.from < 0.1; }) == 200);
  CHECK(count({0, 0, 0, 0, 1}, observe::Kind::volts_dc, [](const observe::Value& v) { return v.from > 1000 || v.from < 0.1; }) == 200);
}

TEST_CASE("numbers of a wide specimen spread further and have tails") {
  const Bench bench;
  const auto spread = [&](trial::Specimen specimen) {
    trial::World world(*bench.machine, *bench.predictor, fault::Hypothesis(), {0, 0}, 7, specimen);
    double squares = 0, far = 0;
    for (int i = 0; i < 2000; ++i) {
      const double off = world.answer(bench.ask("U4.16", observe::Kind::volts_dc))->from - 5;
      squares += off * off;
      far = std::max(far, std::abs(off));
    }
    const double deviation = std::sqrt(squares / 2000);
    return std::pair(deviation, far / deviation);
  };
  trial::Specimen wide;
  wide.spread = 1.5;
  wide.heavy_tails = true;
  const auto plain = spread({}), foreign = spread(wide);
  CHECK(foreign.first / plain.first > 1.2);
  CHECK(foreign.first / plain.first < 1.9);
  CHECK(foreign.second > plain.second);
}
