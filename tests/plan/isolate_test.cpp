// Tests at a small machine with chips in sockets: what the hand does, isolating set-ups, rails before signals.
#include <doctest/doctest.h>

#include "infer/explain.h"
#include "infer/rank.h"
#include "oracle/doorbell.h"
#include "plan/bench.h"
#include "plan/decide.h"
#include "plan/next.h"

using namespace halfsplit;
using board::Action;
using observe::Kind;
using observe::Word;

namespace {

/// A reading whose value plays no part.
fault::Evidence taken(const fault::Query& query) {
  fault::Evidence piece;
  piece.query = query;
  return piece;
}

fault::PriorOdds priors_of(const fault::Predictor& predictor) {
  fault::PriorOdds out;
  out.log_odds.assign(predictor.catalogue().size(), std::log(0.01));
  out.log_odds[3] = std::log(1e-5);
  out.log_outside = std::log(1e-6);
  return out;
}
std::vector<fault::Evidence> line_low(const oracle::Doorbell& bell) {
  fault::Evidence out;
  out.query = bell.line;
  out.value.word = Word::low;
  out.doubt = 1e-4;
  return {out};
}
Action pull(const oracle::Doorbell& bell, const char* ref) { return {Action::Kind::pull, bell.part(ref), {}, {}, {}}; }
const Action kPowerOff{Action::Kind::power_off, {}, {}, {}, {}};

/// Sockets are quick, solder is slow.
class Prices : public fault::Costs {
 public:
  double reading_minutes(Kind, const observe::Point&, const board::Machine&) const override { return 0.5; }
  double action_minutes(const Action& action, const board::Machine& machine) const override {
    if (action.kind == Action::Kind::pull) return machine.part(action.part).socketed ? 2 : 25;
    return action.kind == Action::Kind::lift ? 6 : 0.2;
  }
  double repair_minutes(fault::SiteId, const fault::Catalogue&, const board::Machine&) const override { return 20; }
};

}  // namespace

TEST_CASE("chips are moved with the power off and readings taken with it on") {
  const auto bell = oracle::doorbell();
  const board::Setup now, wanted = board::Setup().with(pull(bell, "U2"));
  const auto change = plan::change_bench(now, wanted, *bell.predictor, nullptr);
  CHECK(change.steps == std::vector<std::string>{"power off", "pull U2", "power on"});
  CHECK(change.minutes == 6);
  const auto back = plan::change_bench(wanted, now, *bell.predictor, nullptr);
  CHECK(back.steps == std::vector<std::string>{"power off", "fit U2 again", "power on"});
  const auto dark = plan::change_bench(wanted.with(kPowerOff), board::Setup().with(kPowerOff), *bell.predictor, nullptr);
  CHECK(dark.steps == std::vector<std::string>{"fit U2 again"});
  const auto other = plan::change_bench(wanted, board::Setup().with(pull(bell, "U1")), *bell.predictor, nullptr);
  CHECK(other.steps == std::vector<std::string>{"power off", "fit U2 again", "unsolder U1", "power on"});
  CHECK(plan::change_bench(now, now, *bell.predictor, nullptr).steps.empty());
}

TEST_CASE("a key is held and a level forced with the power on") {
  const auto bell = oracle::doorbell();
  const Action force{Action::Kind::force_high, {}, bell.pin("U1.1"), {}, {}};
  const auto change = plan::change_bench(board::Setup().with(kPowerOff), board::Setup().with(force), *bell.predictor, nullptr);
  CHECK(change.steps == std::vector<std::string>{"power on", "force U1.1 high through 10 ohm"});
}

TEST_CASE("a line held down by one of three is told apart by pulling a socketed chip") {
  const auto bell = oracle::doorbell();
  const auto priors = priors_of(*bell.predictor);
  const auto evidence = line_low(bell);
  const auto ranking = infer::rank(*bell.predictor, priors, evidence);
  CHECK(ranking.suspects[0].p == doctest::Approx(ranking.suspects[2].p).epsilon(0.01));
  const Prices prices;
  plan::PlanOptions options;
  options.costs = &prices;
  options.asked = {taken(bell.line)};
  const auto tests = plan::next_tests(*bell.predictor, priors, ranking, options);
  REQUIRE(!tests.empty());
  REQUIRE(tests[0].query.setup.actions().size() == 1);
  CHECK(tests[0].query.setup.actions()[0].kind == Action::Kind::pull);
  CHECK(bell.machine->part(tests[0].query.setup.actions()[0].part).socketed);
  REQUIRE(tests[0].steps.size() == 3);
  CHECK(tests[0].steps[0] == "power off");
  CHECK(tests[0].minutes == doctest::Approx(2.9));
  CHECK(tests[0].bits == doctest::Approx(0.9).epsilon(0.1));  // one against two
  // Follow it: the line still low clears the pulled chip.
  auto more = evidence;
  more.push_back({tests[0].query, evidence[0].value, 1e-4, {}, 1});
  const auto after = infer::rank(*bell.predictor, priors, more);
  const std::string pulled = bell.machine->part(tests[0].query.setup.actions()[0].part).ref;
  for (const auto& suspect : after.suspects) {
    if (suspect.name == pulled) CHECK(suspect.p < 0.01);
  }
}

TEST_CASE("without leave to isolate no chip is pulled") {
  const auto bell = oracle::doorbell();
  const auto priors = priors_of(*bell.predictor);
  plan::PlanOptions options;
  options.isolate = false;
  options.asked = {taken(bell.line)};
  for (const auto& test : plan::next_tests(*bell.predictor, priors, infer::rank(*bell.predictor, priors, line_low(bell)), options)) {
    CHECK(test.query.setup.actions().empty());
  }
}

TEST_CASE("with nothing measured the rail comes first: ohms in the dark and then volts before any signal") {
  const auto bell = oracle::doorbell();
  const auto priors = priors_of(*bell.predictor);
  const auto ranking = infer::rank(*bell.predictor, priors, {});
  plan::PlanOptions options;
  options.kinds = {Kind::probe, Kind::volts_dc, Kind::ohms};
  auto tests = plan::next_tests(*bell.predictor, priors, ranking, options);
  REQUIRE(tests.size() >= 3);
  CHECK(tests[0].query.kind == Kind::ohms);
  CHECK(tests[0].steps == std::vector<std::string>{"power off"});
  CHECK(!tests[0].outcomes.empty());
  CHECK(tests[1].query.kind == Kind::volts_dc);
  CHECK(tests[2].query.kind == Kind::probe);
  options.shown_life = true;
  tests = plan::next_tests(*bell.predictor, priors, ranking, options);
  CHECK(tests[0].query.kind == Kind::probe);
  options.shown_life = false;
  options.asked = {taken(bell.line)};
  tests = plan::next_tests(*bell.predictor, priors, ranking, options);
  CHECK(tests[0].query.kind == Kind::probe);
}

TEST_CASE("dear unsoldering loses against cheap lifting and replacing is weighed against measuring") {
  const auto bell = oracle::doorbell();
  const auto priors = priors_of(*bell.predictor);
  const Prices prices;
  plan::PlanOptions options;
  options.costs = &prices;
  options.asked = {taken(bell.line)};
  const auto decision = plan::decide(*bell.predictor, priors, infer::rank(*bell.predictor, priors, line_low(bell)), options);
  CHECK(decision.act == plan::Decision::Act::measure);
  CHECK(decision.measure_minutes < decision.repair_minutes);
  for (const auto& test : decision.tests) {
    for (const auto& step : test.steps) CHECK(step != "unsolder U1");
  }
}

TEST_CASE("why says what was expected and whom it speaks against") {
  const auto bell = oracle::doorbell();
  const auto priors = priors_of(*bell.predictor);
  auto evidence = line_low(bell);
  evidence.push_back(evidence[0]);
  evidence[1].query.setup = board::Setup().with(pull(bell, "U2"));
  evidence[1].event = 7;
  const auto why = infer::explain(*bell.predictor, priors, evidence, fault::SiteId(0));
  REQUIRE(why.reasons.size() == 2);
  CHECK(why.reasons[0].text == "U1.3 (1Y) low: expected pulsing");
  CHECK(why.reasons[1].text == "U1.3 (1Y) low with U2 out: expected pulsing; speaks against U2");
  CHECK(why.reasons[1].event == 7);
  CHECK(why.start + why.reasons[0].decibans + why.reasons[1].decibans == doctest::Approx(why.result));
  CHECK(why.reasons[1].decibans == doctest::Approx(3.0).epsilon(0.1));  // odds 1:2 become 1:1
}

TEST_CASE("a suspect carries the title of its part and the pin of its mode") {
  const auto bell = oracle::doorbell();
  const auto ranking = infer::rank(*bell.predictor, priors_of(*bell.predictor), line_low(bell));
  for (const auto& suspect : ranking.suspects) {
    if (suspect.name != "U2") continue;
    CHECK(suspect.title.find("inverter") != std::string::npos);
    CHECK(suspect.modes[0].at == "U2.1 (1A)");
    return;
  }
  FAIL("U2 is no suspect");
}
