// tests/measure/learning.cpp - does learning pay? Workshops whose true failure rates differ from the packs', paired jobs before and after repairs.
//
// Idea:     in a universe the true odds of every fault are the packs' times a lognormal factor of its class (sigma 1.0) and of its position (0.5); one
//           position is a design error (x15), two modes that occur are missing from the library of all who diagnose. Jobs are drawn from these odds;
//           each has what works told and a few readings, the same for all. What is counted is minutes of repair: sites are mended in the order of
//           probability per minute until the true one is met. "Untaught" has the packs, "taught" what N repairs of this universe taught, "knowing" the
//           true odds. A quarter of the repairs touched a second part and share their count.
// Usage:    measure_learning DATA MACHINE [--universes U] [--jobs J] [--readings R] [--svg FILE]      usual: 6 universes, 60 jobs; the full run: 20, 500
// Output:   one line a checkpoint: mean minutes, how far the gap to knowing has shrunk, taught / untaught with its 95 % interval over universes.
//           With 20 universes or more: exit 1 when the gap shrank by less than 50 % after 50 or 75 % after 200, or an upper limit is above 1.02. 77 without input.
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <limits>
#include <map>
#include <string>
#include <vector>

#include "base/random.h"
#include "board/spec.h"
#include "infer/rank.h"
#include "knowledge/belief.h"
#include "knowledge/prior.h"
#include "logic/activity.h"
#include "predict/predictor.h"
#include "trial/world.h"

using namespace halfsplit;
using fault::FaultId;
using knowledge::Strand;

namespace {

constexpr double kClassSigma = 1.0, kPositionSigma = 0.5, kDesignError = 15, kStray = 120;  // minutes lost when the place is never met
constexpr int kCheckpoints[] = {0, 50, 200};
constexpr std::size_t kArms = 5;  // untaught, taught at each checkpoint, knowing

template <class T>
T take(Result<T> result) {
  if (!result.ok()) {
    std::fprintf(stderr, "%s\n", result.error().text().c_str());
    std::exit(3);
  }
  return std::move(result).value();
}

struct Bench {
  std::shared_ptr<const board::Machine> machine;
  std::shared_ptr<const knowledge::Knowledge> known;
  std::unique_ptr<fault::Catalogue> catalogue;
  std::unique_ptr<fault::Predictor> predictor;
  std::vector<FaultId> complaints;          ///< faults that break a function
  std::vector<fault::Query> functions, points;
};

Bench load(const std::string& data, const std::string& folder) {
  Bench out;
  const auto library = take(parts::Library::open(data + "/shared/parts"));
  out.known = take(knowledge::Knowledge::load(data + "/knowledge"));
  out.machine = take(board::load_machine(folder, library));
  out.catalogue = std::make_unique<fault::Catalogue>(fault::Catalogue::build(*out.machine));
  out.predictor = predict::make_predictor(*out.machine, *out.catalogue, out.known->evidence(), logic::Activity::build(*out.machine));
  for (const auto& query : out.predictor->queries({}, {observe::Kind::function}))
    if (!out.machine->function(query.point.function).held) out.functions.push_back(query);
  out.points = out.predictor->queries({}, {observe::Kind::probe, observe::Kind::volts_dc});
  std::vector<fault::Hypothesis> singles;
  for (std::size_t i = 0; i < out.catalogue->size(); ++i) singles.emplace_back(FaultId(i));
  StepBudget budget(std::numeric_limits<std::uint64_t>::max());
  const auto table = out.predictor->outcomes(singles, out.functions, budget);
  for (std::size_t i = 0; i < singles.size(); ++i) {
    const fault::Fault& fault = out.catalogue->faults()[i];
    if (knowledge::strand_of(fault, *out.machine).rate_class.empty() || fault.site.kind == fault::Site::Kind::outside) continue;
    for (std::size_t q = 0; q < out.functions.size(); ++q)
      if (const auto& outcome = table.at(i, q); outcome.form == fault::Outcome::Form::words && outcome.p[static_cast<std::size_t>(observe::Word::right)] < 0.5f) {
        out.complaints.emplace_back(i);
        break;
      }
  }
  return out;
}

/// True odds, and what nobody's library holds.
struct Universe {
  std::vector<double> odds;
  std::vector<char> missing;
  std::vector<double> cumulated;  ///< over the complaints
};

Universe make_universe(const Bench& bench, const fault::PriorOdds& packs, std::uint64_t seed) {
  Random random(seed);
  Universe out;
  std::map<std::string, double> classes;
  std::map<Strand, double> positions;
  for (const FaultId id : bench.complaints) {
    const Strand strand = knowledge::strand_of(bench.catalogue->fault(id), *bench.machine);
    classes.try_emplace(strand.rate_class, 0);
    positions.try_emplace(strand, 0);
  }
  for (auto& [name, factor] : classes) factor = kClassSigma * random.normal();
  for (auto& [strand, factor] : positions) factor = kPositionSigma * random.normal();
  auto bad = positions.begin();
  std::advance(bad, static_cast<std::ptrdiff_t>(random.below(positions.size())));
  bad->second += std::log(kDesignError);
  std::vector<std::pair<std::string, std::string>> lacking;
  while (lacking.size() < 2) {
    const fault::Fault& fault = bench.catalogue->fault(bench.complaints[random.below(bench.complaints.size())]);
    if (fault.effect == parts::Effect::unlisted || fault.site.kind != fault::Site::Kind::part) continue;
    lacking.emplace_back(knowledge::strand_of(fault, *bench.machine).rate_class, fault.mode);
  }
  out.odds = packs.log_odds;
  out.missing.assign(out.odds.size(), 0);
  for (std::size_t i = 0; i < out.odds.size(); ++i) {
    const fault::Fault& fault = bench.catalogue->faults()[i];
    const Strand strand = knowledge::strand_of(fault, *bench.machine);
    if (const auto it = classes.find(strand.rate_class); it != classes.end()) out.odds[i] += it->second;
    if (const auto it = positions.find(strand); it != positions.end()) out.odds[i] += it->second;
    for (const auto& [rate_class, mode] : lacking) out.missing[i] = static_cast<char>(out.missing[i] || (strand.rate_class == rate_class && fault.mode == mode));
  }
  double sum = 0;
  for (const FaultId id : bench.complaints) out.cumulated.push_back(sum += std::exp(out.odds[id.index()]));
  return out;
}

FaultId drawn(const Bench& bench, const Universe& universe, Random& random) {
  const double at = random.uniform() * universe.cumulated.back();
  const auto it = std::upper_bound(universe.cumulated.begin(), universe.cumulated.end(), at);
  return bench.complaints[std::min(static_cast<std::size_t>(it - universe.cumulated.begin()), bench.complaints.size() - 1)];
}

/// What a solved repair teaches; every fourth one touched a second part.
knowledge::Lesson lesson_of(const Bench& bench, FaultId fault, const knowledge::Population& population, int number, Random& random) {
  knowledge::Lesson out;
  out.id = "repair-" + std::to_string(number);
  out.machine = population.machine;
  out.profile = population.profile;
  out.population = population.id;
  out.ending = "proven";
  const auto blame = [&](FaultId id, knowledge::Micro count) { out.blames.push_back({knowledge::strand_of(bench.catalogue->fault(id), *bench.machine), bench.catalogue->fault(id).mode, count}); };
  const bool shared = number % 4 == 3;
  blame(fault, shared ? knowledge::kOne / 2 : knowledge::kOne);
  if (shared) blame(bench.complaints[random.below(bench.complaints.size())], knowledge::kOne / 2);
  return out;
}

fault::PriorOdds without_missing(fault::PriorOdds odds, const Universe& universe) {
  for (std::size_t i = 0; i < odds.log_odds.size(); ++i)
    if (universe.missing[i]) odds.log_odds[i] = -std::numeric_limits<double>::infinity();
  return odds;
}

/// Sites are mended by probability per minute until the true one is met.
double minutes(const Bench& bench, const fault::Ranking& ranking, fault::SiteId truth) {
  struct Try { fault::SiteId site; double minutes, worth; };
  std::vector<Try> tries;
  for (const fault::Suspect& suspect : ranking.suspects) {
    const double cost = bench.known->costs().repair_minutes(suspect.site, *bench.catalogue, *bench.machine);
    tries.push_back({suspect.site, cost, suspect.p / cost});
  }
  std::stable_sort(tries.begin(), tries.end(), [](const Try& a, const Try& b) { return a.worth > b.worth; });
  double out = 0;
  for (const Try& one : tries) {
    out += one.minutes;
    if (one.site == truth) return out;
  }
  return out + kStray;
}

std::vector<fault::Evidence> readings_of(const Bench& bench, FaultId hidden, std::size_t readings, std::uint64_t seed) {
  trial::World world(*bench.machine, *bench.predictor, fault::Hypothesis(hidden), {0.02, 0}, seed);
  Random random(seed ^ 0x5eed);
  std::vector<fault::Evidence> out;
  const auto note = [&](const fault::Query& query, double doubt) {
    const auto value = world.answer(query);
    if (!value) return;
    fault::Evidence one;
    one.query = query;
    one.value = *value;
    one.doubt = doubt;
    one.event = out.size();
    out.push_back(std::move(one));
  };
  for (const auto& query : bench.functions) note(query, 0.01);
  for (std::size_t i = 0; i < readings; ++i) note(bench.points[random.below(bench.points.size())], 0.02);
  return out;
}

struct Sums { double minutes[kArms] = {}; };

Sums run_universe(const Bench& bench, std::uint64_t seed, int jobs, std::size_t readings) {
  const auto packs = take(knowledge::prior_odds(*bench.known, *bench.catalogue, *bench.machine));
  const auto population = take(knowledge::population_of(*bench.known, *bench.catalogue, *bench.machine, "aged"));
  const Universe universe = make_universe(bench, packs, seed);
  std::vector<fault::PriorOdds> arms{without_missing(packs, universe)};
  Random random(seed * 31 + 7);
  knowledge::Experience experience;
  experience.populations[population.id] = population;
  int taught = 0;
  for (const int checkpoint : kCheckpoints) {
    for (; taught < checkpoint; ++taught) experience = knowledge::learn(std::move(experience), lesson_of(bench, drawn(bench, universe, random), population, taught, random));
    const auto tallies = knowledge::tally_of(experience);
    const auto tally = tallies.find("aged");
    const knowledge::Beliefs beliefs = knowledge::believe(tally == tallies.end() ? knowledge::Tally{} : tally->second, experience.populations, *bench.known, "aged");
    arms.push_back(without_missing(take(knowledge::prior_odds(*bench.known, *bench.catalogue, *bench.machine, {}, &beliefs)), universe));
  }
  fault::PriorOdds knowing = packs;
  knowing.log_odds = universe.odds;
  arms.push_back(without_missing(std::move(knowing), universe));
  Sums out;
  for (int job = 0; job < jobs; ++job) {
    const FaultId hidden = drawn(bench, universe, random);
    const auto evidence = readings_of(bench, hidden, readings, seed * 1000003 + static_cast<std::uint64_t>(job));
    for (std::size_t arm = 0; arm < kArms; ++arm) out.minutes[arm] += minutes(bench, infer::rank(*bench.predictor, arms[arm], evidence), bench.catalogue->site_of(hidden)) / jobs;
  }
  return out;
}

struct Interval { double mean = 0, half = 0; };
Interval interval_of(const std::vector<double>& values) {
  Interval out;
  for (const double value : values) out.mean += value / static_cast<double>(values.size());
  double spread = 0;
  for (const double value : values) spread += (value - out.mean) * (value - out.mean);
  if (values.size() > 1) out.half = 1.96 * std::sqrt(spread / static_cast<double>(values.size() - 1) / static_cast<double>(values.size()));
  return out;
}

void plot(const std::string& file, const std::vector<Interval>& shares) {
  std::ofstream out(file);
  out << "<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 420 260' font-family='sans-serif' font-size='11'>\n";
  const auto x = [](int repairs) { return 50 + 340.0 * repairs / 200; };
  const auto y = [](double share) { return 220 - 180 * std::clamp(share, -0.1, 1.2); };
  out << "<text x='50' y='16'>gap to knowing the rates, share of untaught, over repairs taught (95 %)</text>\n";
  for (const double at : {0.0, 0.25, 0.5, 1.0}) out << "<line x1='50' x2='390' y1='" << y(at) << "' y2='" << y(at) << "' stroke='#ccc'/><text x='14' y='" << y(at) + 4 << "'>" << at << "</text>\n";
  for (std::size_t i = 0; i < shares.size(); ++i) {
    const double at = x(kCheckpoints[i]);
    out << "<line x1='" << at << "' x2='" << at << "' y1='" << y(shares[i].mean - shares[i].half) << "' y2='" << y(shares[i].mean + shares[i].half) << "' stroke='black'/><circle cx='" << at << "' cy='" << y(shares[i].mean) << "' r='3'/><text x='" << at - 6
        << "' y='238'>" << kCheckpoints[i] << "</text>\n";
    if (i > 0) out << "<line x1='" << x(kCheckpoints[i - 1]) << "' y1='" << y(shares[i - 1].mean) << "' x2='" << at << "' y2='" << y(shares[i].mean) << "' stroke='black'/>\n";
  }
  out << "</svg>\n";
}

}  // namespace

int main(int argc, char** argv) {
  std::vector<std::string> words;
  int universes = 6, jobs = 60;
  std::size_t readings = 3;
  std::string svg;
  for (int i = 1; i < argc; ++i) {
    const std::string word = argv[i];
    const auto next = [&] { return i + 1 < argc ? std::string(argv[++i]) : std::string("0"); };
    if (word == "--universes") universes = std::atoi(next().c_str());
    else if (word == "--jobs") jobs = std::atoi(next().c_str());
    else if (word == "--readings") readings = static_cast<std::size_t>(std::atoi(next().c_str()));
    else if (word == "--svg") svg = next();
    else words.push_back(word);
  }
  if (words.size() != 2 || universes < 1 || jobs < 1 || !std::filesystem::exists(words[1] + "/machine.toml")) {
    std::puts("skipped: no input (measure_learning DATA MACHINE)");
    return 77;
  }
  const Bench bench = load(words[0], words[1]);
  std::vector<Sums> all;
  for (int i = 0; i < universes; ++i) {
    all.push_back(run_universe(bench, 4000 + static_cast<std::uint64_t>(i), jobs, readings));
    const Sums& s = all.back();
    std::fprintf(stderr, "universe %d: untaught %.1f, taught %.1f %.1f %.1f, knowing %.1f min\n", i + 1, s.minutes[0], s.minutes[1], s.minutes[2], s.minutes[3], s.minutes[4]);
  }
  const auto mean = [&](std::size_t arm) {
    double out = 0;
    for (const Sums& sums : all) out += sums.minutes[arm] / universes;
    return out;
  };
  const double untaught = mean(0), knowing = mean(4), gap = untaught - knowing;
  std::printf("%zu complaints of %zu faults, %d universes x %d jobs, %zu readings: untaught %.2f min, knowing the rates %.2f min, gap %.2f min\n", bench.complaints.size(), bench.catalogue->size(), universes, jobs, readings, untaught, knowing, gap);
  bool good = true;
  std::vector<Interval> shares;
  for (std::size_t i = 0; i < std::size(kCheckpoints); ++i) {
    std::vector<double> ratios, left;
    for (const Sums& sums : all) {
      ratios.push_back(sums.minutes[i + 1] / sums.minutes[0]);
      left.push_back((sums.minutes[i + 1] - sums.minutes[4]) / gap);
    }
    const Interval ratio = interval_of(ratios), rest = interval_of(left);
    shares.push_back(rest);
    const double shrunk = 1 - rest.mean, needed = kCheckpoints[i] == 50 ? 0.5 : kCheckpoints[i] == 200 ? 0.75 : -1;
    std::printf("after %3d repairs: %.2f min, gap shrunk by %.0f %% (+-%.0f), taught / untaught %.3f (%.3f to %.3f)\n", kCheckpoints[i], mean(i + 1), 100 * shrunk, 100 * rest.half, ratio.mean, ratio.mean - ratio.half, ratio.mean + ratio.half);
    good = good && shrunk >= needed && ratio.mean + ratio.half <= 1.02;
  }
  if (!svg.empty()) plot(svg, shares);
  return universes >= 20 && !good ? 1 : 0;
}
