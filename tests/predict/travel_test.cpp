#include "predict/travel.h"

#include <doctest/doctest.h>

#include <cmath>

#include "board/spec.h"
#include "predict/predictor.h"

using namespace halfsplit;
using board::Setup;
using fault::FaultId;
using fault::Hypothesis;

namespace {

class Honest final : public fault::EvidenceTable {
 public:
  fault::Sensitivity sensitivity(observe::Kind kind, const std::string& group) const override {
    if (kind == observe::Kind::elsewhere) return {group == "weak" ? 0.4 : 0.95, 0.03};
    return {0.35, 0.1};
  }
};

struct Bench {
  std::shared_ptr<const board::Machine> machine;
  fault::Catalogue catalogue;
  Honest table;
  std::unique_ptr<fault::Predictor> predictor;
  board::PartId u9, u10;
  Bench() {
    const auto library = parts::Library::open(std::string(HALFSPLIT_SOURCE_DIR) + "/shared/parts").value();
    machine = board::load_machine(std::string(HALFSPLIT_SOURCE_DIR) + "/boards/osprill-home-8", library).value();
    u9 = machine->find_part("U9").value();
    u10 = machine->find_part("U10").value();
    catalogue = fault::Catalogue::build(*machine, {u9});
    predictor = predict::make_predictor(*machine, catalogue, table, logic::Activity::build(*machine));
  }
  FaultId find(board::PartId part, fault::Site::Kind kind, const std::string& mode, std::uint8_t spare = 0) const {
    for (std::uint32_t i = 0; i < catalogue.size(); ++i) {
      const auto& f = catalogue.faults()[i];
      if (f.site.part == part && f.site.kind == kind && f.mode == mode && f.site.spare == spare) return FaultId(i);
    }
    FAIL("no such fault: " << mode);
    return {};
  }
  fault::Evidence report(std::uint32_t failing, const Setup& setup) const {
    fault::Evidence e;
    e.query.setup = setup;
    e.query.kind = observe::Kind::memory;
    e.value.word = failing == 0 ? observe::Word::right : observe::Word::wrong;
    e.value.failing = failing;
    e.doubt = 0.02;
    return e;
  }
  double score(FaultId fault, const std::vector<fault::Evidence>& evidence) const {
    StepBudget budget(1000000);
    return predictor->score({Hypothesis(fault)}, evidence, budget).front();
  }
};

const Bench& bench() {
  static const Bench only;
  return only;
}
constexpr auto kPart = fault::Site::Kind::part;

const std::string kBad = "bit-stuck";

}  // namespace

TEST_CASE("a fault of a part goes where the part goes and one of the place stays") {
  const Bench& b = bench();
  const predict::Travel travel(*b.machine, b.catalogue);
  const Setup swapped = board::exchanged(Setup(), b.u9, b.u10);
  const FaultId here = b.find(b.u9, kPart, kBad), there = b.find(b.u10, kPart, kBad);
  CHECK(travel.acting(here, Setup()) == here);
  CHECK(travel.acting(here, swapped) == there);
  CHECK(travel.acting(there, swapped) == here);
  const FaultId joint = b.find(b.u9, fault::Site::Kind::joint, fault::kJointOpen);
  CHECK(travel.acting(joint, swapped) == joint);
  CHECK(travel.remade(joint, swapped));
  CHECK_FALSE(travel.remade(joint, Setup()));
}

TEST_CASE("a spare acts only where it is fitted and the part it replaces acts no more") {
  const Bench& b = bench();
  const predict::Travel travel(*b.machine, b.catalogue);
  const Setup tried = board::with_spare(Setup(), b.u9, 1, "new");
  const FaultId own = b.find(b.u9, kPart, kBad), spare = b.find(b.u9, kPart, kBad, 1);
  CHECK_FALSE(travel.acting(spare, Setup()));
  CHECK(travel.acting(spare, tried) == own);
  CHECK_FALSE(travel.acting(own, tried));
  CHECK(b.catalogue.site_name(b.catalogue.site_of(spare)) == "spare for U9");
}

TEST_CASE("one hypothesis about the part explains the readings before and after the swap") {
  const Bench& b = bench();
  const Setup swapped = board::exchanged(Setup(), b.u9, b.u10);
  const FaultId part = b.find(b.u9, kPart, kBad), joint = b.find(b.u9, fault::Site::Kind::joint, fault::kJointOpen);
  // U9 holds bit 0 and U10 bit 1: the failing bit moves with the chip or stays with the place.
  const std::vector<fault::Evidence> moved{b.report(1, Setup()), b.report(2, swapped)}, stayed{b.report(1, Setup()), b.report(1, swapped)};
  CHECK(b.score(part, moved) > b.score(part, stayed) + std::log(10.0));
  CHECK(b.score(joint, stayed) > b.score(joint, moved) + std::log(10.0));
  CHECK(b.score(part, moved) > b.score(joint, moved) + std::log(10.0));
  CHECK(b.score(joint, stayed) > b.score(part, stayed) + std::log(10.0));
}

TEST_CASE("moving a chip may cure its socket contact and that is one thing for all readings of the set-up") {
  const Bench& b = bench();
  const Setup swapped = board::exchanged(Setup(), b.u9, b.u10);
  const FaultId joint = b.find(b.u9, fault::Site::Kind::joint, fault::kJointOpen);
  const double good_once = b.score(joint, {b.report(0, swapped)}), good_twice = b.score(joint, {b.report(0, swapped), b.report(0, swapped)});
  CHECK(std::exp(good_once) > 0.2);
  CHECK(good_twice > good_once + std::log(0.6));  // the second good report is no second surprise
}

TEST_CASE("works elsewhere clears a bad part and says nothing of its place") {
  const Bench& b = bench();
  fault::Evidence works;
  works.query.kind = observe::Kind::elsewhere;
  works.query.point.at = observe::Point::At::part;
  works.query.point.part = b.u9;
  works.value.word = observe::Word::good;
  works.doubt = 0.04;
  const FaultId bad = b.find(b.u9, kPart, kBad), joint = b.find(b.u9, fault::Site::Kind::joint, fault::kJointOpen);
  CHECK(b.score(bad, {works}) < std::log(0.15));
  CHECK(b.score(joint, {works}) > std::log(0.9));
  const auto reach = b.predictor->reach(works.query);
  CHECK(std::find(reach.begin(), reach.end(), bad) != reach.end());
  CHECK(std::find(reach.begin(), reach.end(), joint) == reach.end());
}

TEST_CASE("faults that can change a reading are found where the parts sit now") {
  const Bench& b = bench();
  const Setup tried = board::with_spare(Setup(), b.u9, 1, "new");
  fault::Query query = b.report(1, tried).query;
  const auto reach = b.predictor->reach(query);
  const auto holds = [&](FaultId fault) { return std::find(reach.begin(), reach.end(), fault) != reach.end(); };
  CHECK(holds(b.find(b.u9, kPart, kBad, 1)));
  CHECK_FALSE(holds(b.find(b.u9, kPart, kBad)));
  CHECK(holds(b.find(b.u10, kPart, kBad)));
  query.setup = Setup();
  const auto before = b.predictor->reach(query);
  CHECK(std::find(before.begin(), before.end(), b.find(b.u9, kPart, kBad, 1)) == before.end());
}
