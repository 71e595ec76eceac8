#include "predict/electrics.h"

#include <doctest/doctest.h>

#include <algorithm>

#include "board/spec.h"
#include "predict/predictor.h"

using namespace halfsplit;
using observe::Kind;
using observe::Point;

namespace {

class Honest final : public fault::EvidenceTable {
 public:
  fault::Sensitivity sensitivity(Kind, const std::string&) const override { return {0.9, 0.1}; }
};

/// Four lamps behind 330 ohm at the outputs of a register, a reset with 10k and 10u, a 7805 from 9 V.
struct Bench {
  std::shared_ptr<const board::Machine> machine;
  fault::Catalogue catalogue;
  Honest table;
  std::unique_ptr<fault::Predictor> predictor;
  Bench() {
    const auto library = parts::Library::open(std::string(HALFSPLIT_SOURCE_DIR) + "/shared/parts").value();
    machine = board::load_machine(std::string(HALFSPLIT_SOURCE_DIR) + "/boards/osprill-primer", library).value();
    catalogue = fault::Catalogue::build(*machine);
    predictor = predict::make_predictor(*machine, catalogue, table, logic::Activity::build(*machine));
  }
  fault::FaultId find(const std::string& part, const std::string& mode) const {
    for (std::uint32_t i = 0; i < catalogue.size(); ++i) {
      const auto& f = catalogue.faults()[i];
      if (f.site.part.known() && machine->part(f.site.part).ref == part && f.mode == mode) return fault::FaultId(i);
    }
    FAIL("no such fault: " << part << " " << mode);
    return {};
  }
  static board::Setup off() { return board::Setup({{board::Action::Kind::power_off, {}, {}, {}, {}}}); }
  fault::Query across(const std::string& part, Kind kind) const {
    fault::Query out;
    out.setup = off();
    out.kind = kind;
    out.point.at = Point::At::part;
    out.point.part = machine->find_part(part).value();
    return out;
  }
  fault::Query volts(const std::string& leg) const {
    fault::Query out;
    out.kind = Kind::volts_dc;
    out.point.at = Point::At::leg;
    out.point.pin = machine->find_pin(leg).value();
    return out;
  }
  std::vector<fault::Outcome> ask(const std::vector<fault::Hypothesis>& hypotheses, const fault::Query& query) const {
    StepBudget budget(100000);
    return predictor->outcomes(hypotheses, {query}, budget).cells;
  }
  std::vector<double> score(const std::vector<fault::Hypothesis>& hypotheses, const fault::Query& query, const observe::Value& value) const {
    fault::Evidence e;
    e.query = query;
    e.value = value;
    StepBudget budget(100000);
    return predictor->score(hypotheses, {e}, budget);
  }
};

observe::Value number(double value, observe::Unit unit) {
  observe::Value out;
  out.from = out.to = value;
  out.unit = unit;
  return out;
}

}  // namespace

TEST_CASE("ohms across a resistor tell its open and drifted states from a good one") {
  const Bench bench;
  const fault::Hypothesis good, open(bench.find("R2", "open")), drift(bench.find("R2", "drift-high")), other(bench.find("R3", "open"));
  const auto query = bench.across("R2", Kind::ohms);
  const auto told = bench.ask({good, open, drift, other}, query);
  REQUIRE(told[0].form == fault::Outcome::Form::number);
  CHECK(told[0].parts[0].mean == doctest::Approx(330).epsilon(0.02));
  CHECK(told[1].parts[0].mean > 1e4);
  CHECK(told[3].parts[0].mean == told[0].parts[0].mean);
  const auto at_330 = bench.score({good, open, drift}, query, number(331, observe::Unit::ohms));
  CHECK(at_330[0] > at_330[1] + 2);
  CHECK(at_330[0] > at_330[2] + 0.5);
  const auto at_700 = bench.score({good, open, drift}, query, number(700, observe::Unit::ohms));
  CHECK(at_700[2] > at_700[0] + 1);
  observe::Value overload;
  overload.word = observe::Word::overload;
  const auto at_ol = bench.score({good, open}, query, overload);
  CHECK(at_ol[1] > at_ol[0] + 0.5);
}

TEST_CASE("a diode test tells a short and an open lamp") {
  const Bench bench;
  const fault::Hypothesis good, dead(bench.find("D1", "dead"));
  const auto query = bench.across("D1", Kind::diode);
  const auto told = bench.ask({good, dead}, query);
  REQUIRE(told[0].form == fault::Outcome::Form::number);
  CHECK(told[0].parts[0].mean > 1.5);
  CHECK(told[0].parts[0].mean < 2.0);
  observe::Value overload;
  overload.word = observe::Word::overload;
  const auto score = bench.score({good, dead}, query, overload);
  CHECK(score[1] > score[0] + 1);
}

TEST_CASE("volts behind a resistor follow the output before it and the lamp behind it") {
  const Bench bench;
  const fault::Hypothesis good, open(bench.find("R2", "open")), high(bench.find("U7", "output-stuck-high")), dead(bench.find("D1", "dead"));
  const auto told = bench.ask({good, open, dead}, bench.volts("D1.A"));
  REQUIRE(told[0].form == fault::Outcome::Form::number);
  CHECK(told[0].parts[0].mean > 0.5);
  CHECK(told[0].parts[0].mean < 1.7);  // the mean of a lamp that blinks
  CHECK(told[1].parts[0].mean < 0.3);
  CHECK(told[2].parts[0].mean > told[0].parts[0].mean + 0.3);
}

TEST_CASE("a reset network rests at its supply and a leaky capacitor pulls it down") {
  const Bench bench;
  const fault::Hypothesis good, shorted(bench.find("C1", "short")), leak(bench.find("C1", "leak"));
  const auto told = bench.ask({good, shorted, leak}, bench.volts("U9.1"));
  CHECK(told[0].parts[0].mean > 4.3);
  CHECK(told[1].parts[0].mean < 0.1);
  CHECK(std::any_of(told[2].parts.begin(), told[2].parts.end(), [](const auto& part) { return part.weight > 0 && part.mean < 2; }));
}

TEST_CASE("the electrical offers are points that it can tell about") {
  const Bench bench;
  const auto offered = bench.predictor->queries(Bench::off(), {Kind::ohms, Kind::diode});
  CHECK(offered.size() >= 9);
  for (const auto& query : offered) CHECK(bench.ask({fault::Hypothesis()}, query)[0].form == fault::Outcome::Form::number);
}

TEST_CASE("what lies in no reach of an electrical query leaves it as it was") {
  const Bench bench;
  const auto query = bench.across("R2", Kind::ohms);
  const auto reach = bench.predictor->reach(query);
  std::vector<fault::Hypothesis> all{fault::Hypothesis()};
  for (std::uint32_t i = 0; i < bench.catalogue.size(); ++i)
    if (!std::binary_search(reach.begin(), reach.end(), fault::FaultId(i))) all.emplace_back(fault::FaultId(i));
  CHECK(all.size() > 10);
  const auto told = bench.ask(all, query);
  for (const auto& each : told) CHECK(each.parts[0].mean == doctest::Approx(told[0].parts[0].mean));
}
