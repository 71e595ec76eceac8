// A bus of six lines into one chip, six sources that can each hold their own line down: asked pin by pin or in one walk.
#include <doctest/doctest.h>

#include "infer/rank.h"
#include "oracle/doorbell.h"
#include "plan/next.h"
#include "plan/sweep.h"

using namespace halfsplit;
using observe::Kind;
using observe::Word;

namespace {

constexpr std::size_t kLines = 6;

/// Fault i holds down pin i of U2; sites: even lines U1, odd lines U3.
class Bus : public oracle::ToldPredictor {
 public:
  Bus(const oracle::Doorbell& bell, fault::Catalogue catalogue, std::vector<fault::Query> pins)
      : ToldPredictor(bell.machine, std::move(catalogue), pins,
                      [pins](const fault::Hypothesis& hypothesis, const fault::Query& query) {
                        if (query.kind == Kind::function) return oracle::doorbell_detail::word(hypothesis.empty() ? Word::right : Word::wrong);
                        for (const fault::FaultId id : hypothesis)
                          if (query.point.pin == pins[id.index()].point.pin) return oracle::doorbell_detail::word(Word::low);
                        return oracle::doorbell_detail::word(Word::pulsing);
                      }),
        pins_(std::move(pins)) {}
  std::vector<std::vector<fault::Query>> walks(const board::Setup& setup, const std::vector<Kind>&, board::PartId part) const override {
    if (machine().part(part).ref != "U1") return {};
    std::vector<fault::Query> walk = pins_;
    for (fault::Query& query : walk) query.setup = setup;
    return {walk};
  }

 private:
  std::vector<fault::Query> pins_;
};

struct Bench {
  oracle::Doorbell bell = oracle::doorbell();
  std::unique_ptr<Bus> bus;
  fault::PriorOdds priors;
  std::vector<fault::Evidence> evidence;
  Bench() {
    std::vector<fault::Fault> faults;
    std::vector<fault::SiteId> sites;
    std::vector<fault::Query> pins;
    for (std::size_t i = 0; i < kLines; ++i) {
      fault::Fault fault;
      fault.site.part = bell.part(i % 2 == 0 ? "U1" : "U3");
      fault.mode = "output-stuck-low";
      fault.effect = parts::Effect::stuck_low;
      faults.push_back(fault);
      sites.emplace_back(i % 2);
      fault::Query pin = bell.line;
      pin.point.pin = board::PinId(bell.pin("U2.1").index() + i);
      pins.push_back(pin);
    }
    bus = std::make_unique<Bus>(bell, fault::Catalogue::of(faults, sites, {"U1", "U3"}), pins);
    priors.log_odds.assign(kLines, std::log(0.01));
    priors.log_outside = std::log(1e-6);
    fault::Evidence broken;
    broken.query.kind = Kind::function;
    broken.query.point.at = observe::Point::At::machine;
    broken.value.word = Word::wrong;
    broken.doubt = 1e-3;
    evidence = {broken};
  }
  plan::PlanOptions options() const {
    plan::PlanOptions out;
    out.asked = evidence;
    out.reading_doubt = 1e-3;
    return out;
  }
};

}  // namespace

TEST_CASE("one walk tells what six single pins tell together") {
  const Bench bench;
  const auto ranking = infer::rank(*bench.bus, bench.priors, bench.evidence);
  const auto tests = plan::next_tests(*bench.bus, bench.priors, ranking, bench.options());
  REQUIRE(!tests.empty());
  CHECK(tests[0].also.size() == kLines - 1);
  CHECK(tests[0].bits == doctest::Approx(1).epsilon(0.05));  // U1 or U3
  CHECK(tests[0].minutes == doctest::Approx(1 + 0.25 * (kLines - 1)));
  double sum = 0;
  bool named = false;
  for (const auto& outcome : tests[0].outcomes) {
    sum += outcome.p;
    named = named || outcome.value.note == bench.bell.machine->name_of(bench.bell.pin("U2.3")) + " low";
  }
  CHECK(sum == doctest::Approx(1));
  CHECK(named);
}

TEST_CASE("a walk leaves out the copper that has been read and is not proposed when forbidden") {
  Bench bench;
  fault::Evidence seen;
  seen.query = bench.bell.line;
  seen.query.point.pin = bench.bell.pin("U2.1");
  seen.value.word = Word::pulsing;
  seen.doubt = 1e-3;
  bench.evidence.push_back(seen);
  const auto ranking = infer::rank(*bench.bus, bench.priors, bench.evidence);
  auto options = bench.options();
  for (const auto& test : plan::next_tests(*bench.bus, bench.priors, ranking, options)) {
    if (test.also.empty()) continue;
    CHECK(test.also.size() == kLines - 2);
    CHECK(!(test.query.point.pin == seen.query.point.pin));
  }
  options.sweeps = false;
  for (const auto& test : plan::next_tests(*bench.bus, bench.priors, ranking, options)) CHECK(test.also.empty());
}
