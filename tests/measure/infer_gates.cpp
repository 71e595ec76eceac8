// measure/infer_gates.cpp - probes to a verdict on combinational benchmark circuits: infer and plan against hidden stuck gates.
//
// Usage:    infer_gates FOLDER [CASES] [CIRCUIT...]   FOLDER holds c432.bench and so on; 77 without it.
// Rows:     one line a figure: name, circuit, figure, target where there is one. Exit 1 when a gated target is missed.
// World:    one input vector, stuck gate outputs that show at some output, all outputs read, then one probe at a time where plan says.
#include <fmt/core.h>

#include <ctime>
#include <fstream>
#include <numeric>

#include "infer/rank.h"
#include "oracle/gate_cases.h"
#include "plan/next.h"

namespace {

using namespace halfsplit;
using oracle::GatePredictor;

struct Trial {
  std::size_t probes = 0;
  bool right = false;         ///< every site of the verdict is a true one
  bool certain = false;       ///< the verdict was reached
  bool misread = false;
  double consistent = 0;      ///< sites that explain the outputs alone
  double claimed = 0;
};
struct World {
  const oracle::GateNetwork& network;
  std::size_t faults = 1;
  double misreads = 0;        ///< share of probe readings that show any word
  double stop = 0.95;
  std::size_t most_probes = 60;
  double odds = 1e-3;         ///< of every mode, as infer is told
};

std::set<fault::SiteId> sites_of(const fault::Hypothesis& hypothesis, const fault::Catalogue& catalogue) {
  std::set<fault::SiteId> out;
  for (const fault::FaultId member : hypothesis) out.insert(catalogue.site_of(member));
  return out;
}

/// A vector and stuck outputs that show; the truth is drawn again until some output is wrong.
struct Hidden {
  std::unique_ptr<GatePredictor> predictor;
  fault::Hypothesis truth;
  std::vector<fault::Evidence> outputs;
};
Hidden hide(const World& world, Random& random) {
  for (;;) {
    Hidden out;
    std::vector<bool> vector;
    for (std::size_t i = 0; i < world.network.inputs.size(); ++i) vector.push_back(random.chance(0.5));
    out.predictor = std::make_unique<GatePredictor>(world.network, std::vector<std::vector<bool>>{vector}, GatePredictor::Modes{false, false});
    const fault::Catalogue& catalogue = out.predictor->catalogue();
    while (out.truth.size() < world.faults) {
      const fault::FaultId extra(random.below(catalogue.size()));
      if (sites_of(out.truth, catalogue).count(catalogue.site_of(extra)) == 0) out.truth = out.truth.with(extra);
    }
    bool wrong = false;
    for (const std::uint32_t node : world.network.outputs) {
      fault::Evidence piece;
      piece.query = GatePredictor::query(node);
      piece.value.word = out.predictor->seen(out.truth, piece.query, random);
      piece.doubt = 1e-6;
      wrong = wrong || piece.value.word != out.predictor->seen({}, piece.query, random);
      out.outputs.push_back(piece);
    }
    if (wrong) return out;
  }
}

Trial run(const World& world, std::uint64_t seed) {
  Random random(seed);
  const Hidden hidden = hide(world, random);
  fault::PriorOdds priors;
  priors.log_odds.assign(hidden.predictor->catalogue().size(), std::log(world.odds));
  priors.log_outside = std::log(1e-6);
  infer::Session session(*hidden.predictor, priors);
  session.add(hidden.outputs);
  plan::PlanOptions options;
  options.isolate = options.safety_order = false;
  options.reading_doubt = world.misreads > 0 ? world.misreads : 1e-6;
  options.tests = 1;
  options.rows = 200;
  Trial trial;
  for (;;) {
    const fault::Ranking ranking = session.rank();
    if (trial.probes == 0) {
      for (const fault::Suspect& suspect : ranking.suspects) trial.consistent += suspect.p > 0.1 * ranking.suspects.front().p;
    }
    std::map<std::set<fault::SiteId>, double> verdicts;
    for (const fault::Leaf& leaf : ranking.leaves) verdicts[sites_of(leaf.hypothesis, hidden.predictor->catalogue())] += leaf.p;
    const auto best = std::max_element(verdicts.begin(), verdicts.end(), [](const auto& a, const auto& b) { return a.second < b.second; });
    const std::set<fault::SiteId> truth = sites_of(hidden.truth, hidden.predictor->catalogue());
    trial.claimed = best->second;
    trial.right = std::includes(truth.begin(), truth.end(), best->first.begin(), best->first.end()) && !best->first.empty();
    trial.certain = trial.claimed >= world.stop;
    if (trial.certain || trial.probes >= world.most_probes) return trial;
    const auto tests = plan::next_tests(*hidden.predictor, priors, ranking, options);
    if (tests.empty()) return trial;
    ++trial.probes;
    fault::Evidence piece;
    piece.query = tests.front().query;
    piece.doubt = options.reading_doubt;
    piece.value.word = hidden.predictor->seen(hidden.truth, piece.query, random);
    if (random.chance(world.misreads)) {
      const auto any = static_cast<observe::Word>(random.below(5));
      trial.misread = trial.misread || any != *piece.value.word;
      piece.value.word = any;
    }
    options.asked.push_back(piece);
    session.add(piece);
  }
}

struct Sum {
  double probes = 0, above = 0, right = 0, certain = 0, misread = 0, misread_right = 0, claimed_wrong = 0;
  std::size_t condemned = 0;
  double cases = 0;
};
Sum many(const World& world, std::size_t cases, std::uint64_t first_seed) {
  Sum out;
  for (std::size_t i = 0; i < cases; ++i) {
    const Trial trial = run(world, first_seed + i);
    ++out.cases;
    out.probes += static_cast<double>(trial.probes);
    out.above += static_cast<double>(trial.probes) - std::log2(std::max(1.0, trial.consistent));
    out.right += trial.right && trial.certain;
    out.certain += trial.certain;
    out.misread += trial.misread;
    out.misread_right += trial.misread && trial.right && trial.certain;
    out.claimed_wrong += 1 - trial.claimed;
    out.condemned += trial.certain && !trial.right;
  }
  return out;
}

/// Processor time, so that a busy machine does not count.
double milliseconds() { return 1e3 * static_cast<double>(std::clock()) / CLOCKS_PER_SEC; }

void time_first_ranking(const oracle::GateNetwork& network, const std::string& circuit) {
  for (const std::size_t faults : {std::size_t{1}, std::size_t{2}}) {
    std::vector<double> times;
    double steps = 0;
    for (std::uint64_t seed = 1; seed <= 21; ++seed) {
      Random random(seed);
      const Hidden hidden = hide({network, faults, 0, 0.95, 60}, random);
      fault::PriorOdds priors;
      priors.log_odds.assign(hidden.predictor->catalogue().size(), std::log(1e-3));
      priors.log_outside = std::log(1e-6);
      for (const fault::Evidence& piece : hidden.outputs) hidden.predictor->reach(piece.query);  // the cones are built once a machine
      const double from = milliseconds();
      const fault::Ranking ranking = infer::rank(*hidden.predictor, priors, hidden.outputs);
      times.push_back(milliseconds() - from);
      steps += static_cast<double>(ranking.steps) / 21;
    }
    std::sort(times.begin(), times.end());
    fmt::print("first-ranking-{} {} median {:.1f} ms, worst {:.1f} ms, {:.0f} simulations\n", faults, circuit, times[10], times[20], steps);
  }
}

}  // namespace

int main(int argc, char** argv) {
  const std::string folder = argc > 1 ? argv[1] : "";
  const std::size_t cases = argc > 2 ? std::stoul(argv[2]) : 100;
  std::vector<std::string> circuits(argv + std::min(argc, 3), argv + argc);
  if (circuits.empty()) circuits = {"c432", "c499", "c880", "c1355", "c1908", "c2670", "c3540", "c5315", "c6288", "c7552"};
  std::size_t read = 0, condemned = 0, missed = 0;
  double above = 0, certain = 0, singles = 0;
  for (const std::string& circuit : circuits) {
    std::ifstream text(folder + "/" + circuit + ".bench");
    const oracle::GateNetwork network = oracle::GateNetwork::read(text);
    if (network.nodes.empty()) continue;
    ++read;
    const Sum declared = many({network, 1, 0, 0.95, 60}, cases, 1000);
    fmt::print("one-declared {} {:.2f} probes, {:+.2f} above log2(consistent), right {:.1f} % (target {:+.2f})\n", circuit, declared.probes / declared.cases, declared.above / declared.cases, 100 * declared.right / declared.cases, 0.7);
    const Sum sure = many({network, 1, 0, 0.999, 60}, cases, 1000);
    fmt::print("one-certain {} {:.2f} probes, {:+.2f} above log2(consistent), certain {:.1f} %, condemned {}\n", circuit, sure.probes / sure.cases, sure.above / sure.cases, 100 * sure.certain / sure.cases, sure.condemned);
    condemned += sure.condemned;
    above += declared.above / declared.cases;
    certain += sure.probes / sure.cases;
    missed += declared.above / declared.cases > 0.7;
    ++singles;
    if (network.nodes.size() < 1200) {
      const Sum two = many({network, 2, 0, 0.999, 60}, cases, 50000);
      fmt::print("two-certain {} {:.2f} probes, certain {:.1f} %, condemned {}\n", circuit, two.probes / two.cases, 100 * two.certain / two.cases, two.condemned);
      condemned += two.condemned;
      const Sum noisy = many({network, 1, 0.02, 0.99, 60}, cases, 90000);
      fmt::print("misreads-0.99 {} {:.2f} probes, right {:.1f} %, of {:.0f} with a misread {:.1f} %, claimed wrong {:.2f} %\n", circuit, noisy.probes / noisy.cases, 100 * noisy.right / noisy.cases, noisy.misread,
                 noisy.misread > 0 ? 100 * noisy.misread_right / noisy.misread : 100.0, 100 * noisy.claimed_wrong / noisy.cases);
    }
    time_first_ranking(network, circuit);
    std::fflush(stdout);
  }
  if (read == 0) {
    fmt::print(stderr, "no .bench file in '{}'\n", folder);
    return 77;
  }
  fmt::print("mean one-declared {:+.2f} above log2(consistent) (target +0.25)\nmean one-certain {:.2f} probes (target 4.6)\ncondemned {} (target 0)\n", above / singles, certain / singles, condemned);
  return condemned > 0 || missed > 0 || above / singles > 0.25 ? 1 : 0;
}
