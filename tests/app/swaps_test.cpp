#include "plan/swaps.h"

#include <doctest/doctest.h>

#include <algorithm>

#include "board/spec.h"
#include "board/swap.h"
#include "infer/rank.h"
#include "knowledge/knowledge.h"
#include "knowledge/prior.h"
#include "predict/predictor.h"

using namespace halfsplit;
using observe::Kind;
using observe::Word;

namespace {

struct Bench {
  std::shared_ptr<const board::Machine> machine;
  std::shared_ptr<const knowledge::Knowledge> known;
  fault::Catalogue catalogue;
  std::unique_ptr<fault::Predictor> predictor;
  fault::PriorOdds odds;
  std::vector<fault::Evidence> evidence;
  Bench() {
    const std::string root = HALFSPLIT_SOURCE_DIR;
    machine = board::load_machine(root + "/boards/osprill-home-8", parts::Library::open(root + "/shared/parts").value()).value();
    known = knowledge::Knowledge::load(root + "/knowledge").value();
    catalogue = fault::Catalogue::build(*machine);
    predictor = predict::make_predictor(*machine, catalogue, known->evidence(), logic::Activity::build(*machine));
    odds = knowledge::prior_odds(*known, catalogue, *machine, {}).value();
    fault::Evidence report;
    report.query.kind = Kind::memory;
    report.value.word = Word::wrong;
    report.value.failing = 8;
    evidence.push_back(report);
  }
  void measure_rail(double volts) {
    fault::Evidence rail;
    rail.query.kind = Kind::volts_dc;
    rail.query.point.at = observe::Point::At::net;
    rail.query.point.net = machine->find_net("+5V").value();
    rail.value.unit = observe::Unit::volts;
    rail.value.from = rail.value.to = volts;
    evidence.push_back(rail);
  }
  std::vector<plan::Block> blocks(bool spares) const {
    plan::PlanOptions options;
    options.asked = evidence;
    options.spares = spares;
    const auto rows = plan::make_rows(infer::rank(*predictor, odds, evidence), catalogue, options.rows);
    return plan::swap_blocks(*predictor, rows, options, board::Setup());
  }
};

}  // namespace

TEST_CASE("a swap is proposed only for sockets and only once the rails are measured right") {
  Bench bench;
  CHECK(bench.blocks(true).empty());
  bench.measure_rail(5.6);
  CHECK(bench.blocks(true).empty());
  bench.measure_rail(5.02);
  const auto blocks = bench.blocks(true);
  REQUIRE(!blocks.empty());
  bool twin = false, spare = false;
  for (const plan::Block& block : blocks) {
    REQUIRE(!block.queries.empty());
    for (const fault::Query& query : block.queries) CHECK(query.kind == Kind::memory);
    for (const board::Action& action : block.setup.actions()) {
      CHECK(action.kind == board::Action::Kind::fit);
      CHECK(bench.machine->part(action.part).socketed);
      (action.spare > 0 ? spare : twin) = true;
    }
  }
  CHECK(twin);
  CHECK(spare);
  const auto without = bench.blocks(false);
  CHECK(std::none_of(without.begin(), without.end(), [](const plan::Block& block) { return block.setup.actions().front().spare > 0; }));
}
