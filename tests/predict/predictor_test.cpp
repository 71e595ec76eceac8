#include "predict/predictor.h"

#include <doctest/doctest.h>

#include <cmath>

#include "board/spec.h"

using namespace halfsplit;

namespace {

class Honest final : public fault::EvidenceTable {
 public:
  fault::Sensitivity sensitivity(observe::Kind, const std::string&) const override { return {0.9, 0.1}; }
};

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
  fault::Evidence probe(const std::string& leg, observe::Word word, double doubt = 0.02) const {
    fault::Evidence e;
    e.query.point.at = observe::Point::At::leg;
    e.query.point.pin = machine->find_pin(leg).value();
    e.query.kind = observe::Kind::probe;
    e.value.word = word;
    e.doubt = doubt;
    return e;
  }
  std::optional<fault::FaultId> find(const std::string& part, parts::Effect effect, const std::string& leg = {}) const {
    for (std::uint32_t i = 0; i < catalogue.size(); ++i) {
      const auto& f = catalogue.faults()[i];
      if (f.site.kind != fault::Site::Kind::part || machine->part(f.site.part).ref != part || f.effect != effect) continue;
      if (leg.empty() || (f.pin.known() && f.pin == machine->find_pin(leg).value())) return fault::FaultId(i);
    }
    return std::nullopt;
  }
};

}  // namespace

TEST_CASE("a fault is scored by what it predicts and the score is the sum of its readings") {
  const Bench bench;
  const auto stuck = bench.find("U2", parts::Effect::never_enabled);
  REQUIRE(stuck);
  StepBudget budget(100000);
  const std::vector<fault::Hypothesis> hypotheses{fault::Hypothesis(), fault::Hypothesis(*stuck)};
  const std::vector<fault::Evidence> evidence{bench.probe("U1.6", observe::Word::pulsing), bench.probe("U1.14", observe::Word::low)};
  const auto total = bench.predictor->score(hypotheses, evidence, budget);
  const auto each = bench.predictor->score_each(hypotheses, evidence, budget);
  for (std::size_t h = 0; h < 2; ++h) CHECK(total[h] == doctest::Approx(each[h][0] + each[h][1]).epsilon(1e-12));
  CHECK(each[0][0] > each[0][1]);  // healthy: the clock pulses and no data line is low
}

TEST_CASE("rails are predicted in volts with their tolerance and lost ones near nothing") {
  const Bench bench;
  const auto dead = bench.find("U10", parts::Effect::dead);
  REQUIRE(dead);
  fault::Query query;
  query.kind = observe::Kind::volts_dc;
  query.point.at = observe::Point::At::leg;
  query.point.pin = bench.machine->find_pin("U1.11").value();
  StepBudget budget(1000);
  const auto table = bench.predictor->outcomes({fault::Hypothesis(), fault::Hypothesis(*dead)}, {query}, budget);
  CHECK(table.at(0, 0).parts[0].mean == doctest::Approx(5).epsilon(0.01));
  CHECK(table.at(1, 0).parts[0].mean < 1);
}

TEST_CASE("what a fault cannot reach it does not change") {
  const Bench bench;
  const auto lamp = bench.probe("D1.A", observe::Word::pulsing);
  const auto reach = bench.predictor->reach(lamp.query);
  StepBudget budget(1000000);
  std::vector<fault::Hypothesis> all{fault::Hypothesis()};
  for (std::uint32_t i = 0; i < bench.catalogue.size(); ++i) all.push_back(fault::Hypothesis(fault::FaultId(i)));
  const auto scores = bench.predictor->score(all, {lamp}, budget);
  for (std::uint32_t i = 0; i < bench.catalogue.size(); ++i)
    if (std::fabs(scores[i + 1] - scores[0]) > 1e-9) {
      INFO(bench.catalogue.describe(fault::FaultId(i), *bench.machine));
      CHECK(std::binary_search(reach.begin(), reach.end(), fault::FaultId(i)));
    }
}

TEST_CASE("an unlisted part pays once for each of its own pins that was read and nothing more downstream") {
  const Bench bench;
  std::optional<fault::FaultId> unlisted;
  for (std::uint32_t i = 0; i < bench.catalogue.size(); ++i) {
    const auto& f = bench.catalogue.faults()[i];
    if (f.effect == parts::Effect::unlisted && f.site.kind == fault::Site::Kind::part && bench.machine->part(f.site.part).ref == "U6") unlisted = fault::FaultId(i);
  }
  REQUIRE(unlisted);
  StepBudget budget(100000);
  const fault::Hypothesis h(*unlisted);
  const auto own = bench.predictor->score({h}, {bench.probe("U6.5", observe::Word::low, 0)}, budget)[0];
  const auto more = bench.predictor->score({h}, {bench.probe("U6.5", observe::Word::low, 0), bench.probe("U1.6", observe::Word::low, 0)}, budget)[0];
  CHECK(own < 0);
  CHECK(more < own + 1e-9);
  CHECK(more > 2.5 * own);
}

TEST_CASE("there is no prediction for volts with the power off") {
  const Bench bench;
  auto e = bench.probe("U1.6", observe::Word::low);
  board::Action off;
  off.kind = board::Action::Kind::power_off;
  e.query.setup = board::Setup({off});
  StepBudget budget(10);
  CHECK(bench.predictor->outcomes({fault::Hypothesis()}, {e.query}, budget).at(0, 0).form == fault::Outcome::Form::none);
}

TEST_CASE("a memory report names the bits that fail and one test asks for all of them") {
  const Bench bench;
  const auto asked = bench.predictor->queries({}, {observe::Kind::memory});
  REQUIRE(asked.size() == 1);
  CHECK(bench.machine->part(asked[0].point.part).ref == "U3");
  std::vector<fault::Hypothesis> hypotheses{fault::Hypothesis()};
  const auto dead = bench.find("U1", parts::Effect::dead);
  REQUIRE(dead);
  hypotheses.emplace_back(*dead);
  std::vector<std::uint32_t> wanted;
  for (std::uint32_t i = 0; i < bench.catalogue.size(); ++i) {
    const auto& f = bench.catalogue.faults()[i];
    if (f.effect != parts::Effect::cell_stuck || bench.machine->part(f.site.part).ref != "U3") continue;
    hypotheses.emplace_back(fault::FaultId(i));
    wanted.push_back(1u << f.bit);
  }
  REQUIRE(wanted.size() >= 8);
  StepBudget budget(1000);
  const auto table = bench.predictor->outcomes(hypotheses, asked, budget);
  CHECK(fault::likeliest_bits(table.at(0, 0)) == 0);
  CHECK(fault::bits_probability(0, table.at(0, 0)) > 0.9);
  CHECK(table.at(1, 0).no_report > 0.9f);
  for (std::size_t i = 0; i < wanted.size(); ++i) {
    CHECK(fault::likeliest_bits(table.at(i + 2, 0)) == wanted[i]);
    CHECK(fault::bits_probability(wanted[i], table.at(i + 2, 0)) > 0.8);
  }
}

TEST_CASE("two pins of one net tell of one thing once") {
  const Bench bench;
  const auto at_driver = bench.probe("U5.3", observe::Word::high), at_load = bench.probe("U7.11", observe::Word::high);
  CHECK(bench.predictor->same_thing(at_driver.query, at_load.query));
  CHECK(!bench.predictor->same_thing(at_driver.query, bench.probe("U5.1", observe::Word::high).query));
  std::optional<fault::FaultId> unlisted;
  for (std::uint32_t i = 0; i < bench.catalogue.size(); ++i)
    if (bench.catalogue.faults()[i].effect == parts::Effect::unlisted && bench.machine->part(bench.catalogue.faults()[i].site.part).ref == "U1") unlisted = fault::FaultId(i);
  REQUIRE(unlisted);
  StepBudget budget(1000);
  const auto both = bench.predictor->score_each({fault::Hypothesis(*unlisted)}, {at_driver, at_load}, budget);
  CHECK(both[0][0] < std::log(0.9));              // the processor may hold the strobe anywhere
  CHECK(both[0][1] > both[0][0]);                 // and where it is seen once it is seen again
  CHECK(both[0][1] > std::log(0.9));
}
