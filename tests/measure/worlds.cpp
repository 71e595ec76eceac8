// tests/measure/worlds.cpp - diagnoses hidden faults in two worlds and prints how often the right place comes first.
//
// Usage:    measure_worlds DATA MODEL [TRUTH] [--cases N] [--home F T] [--foreign F T] [--only home|foreign] [--short] [--each] [--verbose]
//           (DATA holds shared/parts and knowledge; MODEL and TRUTH are machine folders; F and T: least share first and among the first three)
// Output:   one line a row: world, policy, cases, first, first three, joint named, mean tests (an isolating test is one, a walk round a chip is one), mean points
//           read; then home minus foreign in points. Exit 1 when a target that was given is missed, 77 without input. --each: what every ingredient of
//           the foreign world costs alone.
// Foreign:  five stale drawings of the model (1 % of the pins moved, one need dropped), rates off by a factor (lognormal, 1.0 by class, 0.5 by position),
//           a fifth of the cases intermittent, a fifth with the true mode missing in the library, readings wrong as the hand goes wrong, numbers
//           spread 1.5 times wider with heavy tails. All of it seeded; nothing in infer, plan or predict knows of it.
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <string>

#include "board/spec.h"
#include "fault/fault.h"
#include "knowledge/knowledge.h"
#include "knowledge/prior.h"
#include "logic/activity.h"
#include "predict/predictor.h"
#include "trial/episode.h"
#include "trial/rates.h"
#include "trial/stale.h"

using namespace halfsplit;

namespace {

struct Side {
  std::shared_ptr<const board::Machine> machine;
  std::unique_ptr<const fault::Catalogue> catalogue;  ///< the predictor keeps a reference to it: it must not move
  std::unique_ptr<fault::Predictor> predictor;
};

template <class T>
T take(Result<T> result) {
  if (!result.ok()) {
    std::fprintf(stderr, "%s\n", result.error().text().c_str());
    std::exit(3);
  }
  return std::move(result).value();
}

Side load(const board::MachineSpec& spec, const std::shared_ptr<const parts::Library>& library, const knowledge::Knowledge& known) {
  const auto machine = take(board::build(spec, library));
  auto catalogue = std::make_unique<const fault::Catalogue>(fault::Catalogue::build(*machine));
  auto predictor = predict::make_predictor(*machine, *catalogue, known.evidence(), logic::Activity::build(*machine));
  return Side{machine, std::move(catalogue), std::move(predictor)};
}

/// The kinds of fault that are hidden: stuck output, dead chip, open joint, missing clock, lost rail, dead memory bit.
bool hidden_kind(const Side& truth, const fault::Fault& f) {
  using parts::Effect;
  if (f.site.kind == fault::Site::Kind::joint) {
    const auto& pin = truth.machine->pin_type(f.site.pin);
    return truth.machine->part(f.site.part).family != nullptr && (parts::listens(pin.role) || parts::can_drive(pin.role) || pin.role == parts::PinRole::supply);
  }
  if (f.site.kind != fault::Site::Kind::part) return false;
  const auto& type = *truth.machine->part(f.site.part).type;
  switch (f.effect) {
    case Effect::stuck_low:
    case Effect::stuck_high: return true;
    case Effect::dead: return !truth.machine->part(f.site.part).surroundings;
    case Effect::cell_stuck:
    case Effect::cell_dead: return true;
    case Effect::no_drive: return type.blocks.size() > 0;
    default: return false;
  }
}

/// A fault that no reading on offer could show is not asked for.
bool shows(const Side& truth, fault::FaultId id) {
  StepBudget budget(1000);
  auto queries = truth.predictor->queries({}, {observe::Kind::probe, observe::Kind::volts_dc, observe::Kind::content});
  const auto table = truth.predictor->outcomes({fault::Hypothesis(), fault::Hypothesis(id)}, queries, budget);
  for (std::size_t q = 0; q < queries.size(); ++q) {
    const auto &a = table.at(0, q), &b = table.at(1, q);
    for (std::size_t w = 0; w < a.p.size(); ++w)
      if (std::fabs(a.p[w] - b.p[w]) > 0.4f) return true;
    if (a.form == fault::Outcome::Form::number && std::fabs(a.parts[0].mean - b.parts[0].mean) > 1) return true;
  }
  return false;
}

/// A fault that leaves every function as it was brings no machine to the bench.
bool is_complaint(const Side& truth, fault::FaultId id) {
  StepBudget budget(1000);
  const auto queries = truth.predictor->queries({}, {observe::Kind::function});
  const auto table = truth.predictor->outcomes({fault::Hypothesis(id)}, queries, budget);
  for (std::size_t q = 0; q < queries.size(); ++q)
    if (table.at(0, q).form == fault::Outcome::Form::words && table.at(0, q).p[static_cast<std::size_t>(observe::Word::right)] < 0.5f) return true;
  return false;
}

struct Score { int cases = 0, first = 0, three = 0, joint = 0; double tests = 0, points = 0, isolations = 0; };

/// The hidden fault as the model's catalogue knows it: the same place and mode.
std::optional<fault::FaultId> in_model(const Side& model, const Side& truth, fault::FaultId id) {
  if (&model == &truth) return id;
  const std::string wanted = truth.catalogue->describe(id, *truth.machine);
  for (std::uint32_t i = 0; i < model.catalogue->size(); ++i)
    if (model.catalogue->describe(fault::FaultId(i), *model.machine) == wanted) return fault::FaultId(i);
  return std::nullopt;
}
std::optional<fault::SiteId> site_in_model(const Side& model, const Side& truth, fault::FaultId id) {
  const auto& f = truth.catalogue->fault(id);
  const board::PartId part = f.site.part.known() ? f.site.part : truth.machine->pin(f.site.pin).part;
  const auto there = model.machine->find_part(truth.machine->part(part).ref);
  return there.ok() ? model.catalogue->site_of_part(there.value()) : std::nullopt;
}

/// The ingredients of the foreign world.
struct Strangeness { bool rates = false, intermittent = false, absent = false, readings = false, spread = false; };

/// What the bench holds against the hidden machine: one drawing in the home world, several stale ones in the foreign one.
struct Models {
  std::vector<const Side*> sides;
  std::vector<fault::PriorOdds> priors;
  Strangeness strange;
};
constexpr trial::ReadingErrors kHomeErrors{0.02, 0, 0, 0, 0}, kForeignErrors{0.01, 0.0035, 0.0025, 0.0025, 0.0015};
constexpr double kIntermittent = 0.2, kModeAbsent = 0.2, kWider = 1.5;
constexpr std::uint64_t kDrawings = 5;

Score run(const Models& models, const Side& truth, const std::vector<fault::FaultId>& hidden, const trial::EpisodeOptions& base, bool hide_mode, bool verbose) {
  Score score;
  const Strangeness& strange = models.strange;
  for (std::size_t i = 0; i < hidden.size(); ++i) {
    const Side& model = *models.sides[i % models.sides.size()];
    const fault::PriorOdds& priors = models.priors[i % models.sides.size()];
    Random random(base.seed * 7919 + i);
    fault::PriorOdds used = strange.rates ? trial::uncertain_rates(priors, *model.catalogue, *model.machine, {}, random.next()) : priors;
    const auto as_model = in_model(model, truth, hidden[i]);
    const bool absent = hide_mode || (strange.absent && random.chance(kModeAbsent));
    trial::Specimen specimen;
    if (strange.intermittent && random.chance(kIntermittent)) specimen.duty = 0.3 + 0.6 * random.uniform();
    if (strange.spread) {
      specimen.spread = kWider;
      specimen.heavy_tails = true;
    }
    if (absent && as_model)  // the library does not know this mode anywhere
      for (std::uint32_t k = 0; k < model.catalogue->size(); ++k)
        if (model.catalogue->faults()[k].mode == model.catalogue->fault(*as_model).mode && model.catalogue->faults()[k].site.part == model.catalogue->fault(*as_model).site.part)
          used.log_odds[k] = -std::numeric_limits<double>::infinity();
    trial::World world(*model.machine, *truth.predictor, fault::Hypothesis(hidden[i]), strange.readings ? kForeignErrors : kHomeErrors, base.seed * 104729 + i, specimen);
    auto options = base;
    options.seed = base.seed + i;
    if (verbose && as_model) options.watch = fault::Hypothesis(*as_model);
    if (verbose) std::printf("  hidden: %s\n", truth.catalogue->describe(hidden[i], *truth.machine).c_str());
    if (verbose) options.log = [](const std::string& line) { std::printf("    %s\n", line.c_str()); };
    const auto result = trial::run_episode(*model.predictor, used, world, site_in_model(model, truth, hidden[i]), as_model, options);
    ++score.cases;
    score.first += result.rank && *result.rank == 0;
    score.three += result.rank && *result.rank < 3;
    score.joint += result.joint_named;
    score.tests += static_cast<double>(result.tests);
    score.isolations += static_cast<double>(result.isolations);
    score.points += static_cast<double>(result.points);
    if (verbose && !(result.rank && *result.rank == 0))
      std::printf("  missed: %s, rank %d after %zu tests, claimed %.2f, %zu wrong readings\n", truth.catalogue->describe(hidden[i], *truth.machine).c_str(),
                  result.rank ? static_cast<int>(*result.rank) + 1 : -1, result.tests, result.claimed, result.wrong_readings);
  }
  return score;
}

void print(const char* world, const char* how, const Score& s) {
  std::printf("%-8s %-28s cases %d  first %.1f %%  first three %.1f %%  joint named %.1f %%  tests %.2f (isolating %.2f)  points %.1f\n", world, how, s.cases, 100.0 * s.first / s.cases, 100.0 * s.three / s.cases,
              100.0 * s.joint / s.cases, s.tests / s.cases, s.isolations / s.cases, s.points / s.cases);
  std::fflush(stdout);
}

}  // namespace

int main(int argc, char** argv) {
  std::vector<std::string> words;
  std::size_t cases = 100;
  double first_home = 0, first_foreign = 0, three_home = 0, three_foreign = 0;
  bool verbose = false, short_run = false, each = false;
  std::string only;  ///< one world
  for (int i = 1; i < argc; ++i) {
    const std::string word = argv[i];
    const auto number = [&] { return i + 1 < argc ? std::atof(argv[++i]) : 0.0; };
    if (word == "--cases") cases = static_cast<std::size_t>(number());
    else if (word == "--home") { first_home = number(); three_home = number(); }
    else if (word == "--foreign") { first_foreign = number(); three_foreign = number(); }
    else if (word == "--verbose") verbose = true;
    else if (word == "--short") short_run = true;
    else if (word == "--each") each = true;
    else if (word == "--only") only = i + 1 < argc ? argv[++i] : "";
    else words.push_back(word);
  }
  if (words.size() < 2 || !std::filesystem::exists(words[1])) {
    std::puts("skipped: no input");
    return 77;
  }
  const auto library = take(parts::Library::open(words[0] + "/shared/parts"));
  const auto known = take(knowledge::Knowledge::load(words[0] + "/knowledge"));
  const auto spec = take(board::load_spec(words[1]));
  const Side model = load(spec, library, *known);
  std::optional<Side> other;
  if (words.size() > 2) other.emplace(load(take(board::load_spec(words[2])), library, *known));
  const Side& truth = other ? *other : model;
  Models home_models, foreign_models;
  home_models.sides = {&model};
  std::vector<std::unique_ptr<const Side>> drawings;
  for (std::uint64_t seed = 1; seed <= kDrawings; ++seed) {
    const auto drawing = trial::stale(spec, {}, seed);
    drawings.push_back(std::make_unique<const Side>(load(drawing.spec, library, *known)));
    foreign_models.sides.push_back(drawings.back().get());
    for (const auto& change : drawing.changes)
      if (verbose) std::printf("drawing %d: %s\n", static_cast<int>(seed), change.c_str());
  }
  for (auto* models : {&home_models, &foreign_models})
    for (const auto* side : models->sides) models->priors.push_back(take(knowledge::prior_odds(*known, *side->catalogue, *side->machine)));
  foreign_models.strange = {true, true, true, true, true};

  std::vector<fault::FaultId> hidden;
  std::vector<fault::FaultId> candidates;
  for (std::uint32_t i = 0; i < truth.catalogue->size(); ++i)
    if (hidden_kind(truth, truth.catalogue->faults()[i]) && site_in_model(model, truth, fault::FaultId(i))) candidates.push_back(fault::FaultId(i));
  Random random(2026);
  while (hidden.size() < cases && !candidates.empty()) {
    const std::size_t at = random.below(candidates.size());
    if (is_complaint(truth, candidates[at]) && shows(truth, candidates[at])) hidden.push_back(candidates[at]);
    candidates.erase(candidates.begin() + static_cast<std::ptrdiff_t>(at));
  }
  std::printf("%zu parts, %zu single faults in the catalogue, %zu hidden ones\n", model.machine->parts().size(), model.catalogue->size(), hidden.size());

  trial::EpisodeOptions plain;
  bool good = true;
  Score home, foreign;
  if (only != "foreign") {
    std::vector<fault::FaultId> own;
    for (const auto id : hidden)
      if (const auto m = in_model(model, truth, id)) own.push_back(*m);
    home = run(home_models, model, own, plain, false, verbose);
    print("home", "planned", home);
    good = good && 100.0 * home.first / home.cases >= first_home && 100.0 * home.three / home.cases >= three_home;
  }
  if (only != "home") {
    foreign = run(foreign_models, truth, hidden, plain, false, verbose);
    print("foreign", "planned", foreign);
    good = good && 100.0 * foreign.first / foreign.cases >= first_foreign && 100.0 * foreign.three / foreign.cases >= three_foreign;
  }
  if (only.empty())
    std::printf("home minus foreign: first %+.1f, first three %+.1f, joint named %+.1f points\n", 100.0 * home.first / home.cases - 100.0 * foreign.first / foreign.cases,
                100.0 * home.three / home.cases - 100.0 * foreign.three / foreign.cases, 100.0 * home.joint / home.cases - 100.0 * foreign.joint / foreign.cases);
  if (each) {
    const auto alone = [&](const char* how, const Models& from, const Side& side, Strangeness strange) {
      Models models = from;
      models.strange = strange;
      print("home but", how, run(models, side, hidden, plain, false, false));
    };
    if (other) alone("another revision", home_models, truth, {});
    alone("stale drawings", foreign_models, truth, {});
    if (!other) {
      alone("rates off", home_models, truth, {true, false, false, false, false});
      alone("a fifth intermittent", home_models, truth, {false, true, false, false, false});
      alone("a fifth not in the library", home_models, truth, {false, false, true, false, false});
      alone("hands go astray", home_models, truth, {false, false, false, true, false});
      alone("numbers wide, with tails", home_models, truth, {false, false, false, false, true});
    }
  }
  if (!short_run && only.empty()) {
    auto options = plain;
    options.policy = trial::Policy::random;
    print("foreign", "random prober", run(foreign_models, truth, hidden, options, false, false));
    options.policy = trial::Policy::half_split;
    print("foreign", "half-split by hand", run(foreign_models, truth, hidden, options, false, false));
    options = plain;
    options.functions_told = false;
    print("foreign", "functions withheld", run(foreign_models, truth, hidden, options, false, false));
    print("foreign", "true mode removed", run(foreign_models, truth, hidden, plain, true, false));
  }
  return good ? 0 : 1;
}
