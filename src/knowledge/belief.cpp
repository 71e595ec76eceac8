#include "knowledge/belief.h"

#include <algorithm>
#include <cmath>

#include "fault/fault.h"

namespace halfsplit::knowledge {
namespace {

constexpr int kRounds = 20;
constexpr std::size_t kLevels = 5;
constexpr const char* kLevelNames[kLevels] = {"class", "technology", "type", "machine", "position"};
constexpr double kMostSymptom = 3;
constexpr double kSymptomSample = 10;  // entries that a symptom's even shares among the classes weigh

double whole(Micro count) { return static_cast<double>(count) / kOne; }

/// The strand down to a level; what is narrower is left empty.
Strand upto(const Strand& strand, std::size_t level) {
  Strand out = strand;
  if (level < 4) out.position.clear();
  if (level < 3) out.machine.clear();
  if (level < 2) out.type.clear();
  if (level < 1) out.technology.clear();
  return out;
}
const std::string& name_at(const Strand& strand, std::size_t level) {
  const std::string* const names[kLevels] = {&strand.rate_class, &strand.technology, &strand.type, &strand.machine, &strand.position};
  return *names[level];
}

/// A level's factor: its prior shape, what it was held against, and its mean.
struct Node { double shape = 1, counted = 0, expected = 0, mean = 1; };

/// Logarithm of the chance of the count under a Gamma prior, but for terms that all priors share.
double log_evidence(double count, double exposure, double shape, double rate) {
  return shape * std::log(rate) - std::lgamma(shape) + std::lgamma(shape + count) - (shape + count) * std::log(rate + exposure);
}

}  // namespace

struct Beliefs::Inside {
  LearningSpread spread;
  std::map<Strand, Node> nodes[kLevels];
  std::map<std::pair<Strand, std::string>, double> modes[kLevels];  ///< counted, by level
  std::map<Strand, double> mode_sums[kLevels];
  std::map<std::pair<std::string, std::string>, double> symptoms;     ///< counted, by symptom and class
  std::map<std::string, double> symptom_sums;
  std::map<std::string, std::string> states;                          ///< what a symptom says of which function: "picture wrong"
  std::map<std::pair<std::string, std::string>, double> state_classes;  ///< counted behind all symptoms of a state, by class
  std::map<std::string, double> state_sums;

  double mean_of(const Node& node, std::size_t level) const {
    const double usual = (node.shape + node.counted) / (node.shape + node.expected);
    if (level != 4 || spread.error_chance <= 0) return usual;
    const double shape = spread.error_sample, rate = shape / spread.error_factor;
    const double a = std::log(1 - spread.error_chance) + log_evidence(node.counted, node.expected, node.shape, node.shape);
    const double b = std::log(spread.error_chance) + log_evidence(node.counted, node.expected, shape, rate);
    const double error = 1 / (1 + std::exp(a - b));
    return (1 - error) * usual + error * (shape + node.counted) / (rate + node.expected);
  }
  /// Mean of a position that nothing was counted at: what a possible design error adds is no news, so factors are held against it.
  double idle(std::size_t level) const {
    Node node;
    node.shape = spread.samples[level];
    return mean_of(node, level);
  }
};

Beliefs::Beliefs() : inside_(std::make_unique<Inside>()) {}
Beliefs::~Beliefs() = default;
Beliefs::Beliefs(Beliefs&&) noexcept = default;
Beliefs& Beliefs::operator=(Beliefs&&) noexcept = default;

bool Beliefs::empty() const { return inside_->nodes[0].empty(); }

double Beliefs::factor(const Strand& strand) const {
  double out = 1;
  for (std::size_t level = 0; level < kLevels; ++level)
    if (const auto it = inside_->nodes[level].find(upto(strand, level)); it != inside_->nodes[level].end()) out *= it->second.mean / inside_->idle(level);
  return out;
}

std::vector<LevelBelief> Beliefs::levels(const Strand& strand) const {
  std::vector<LevelBelief> out;
  for (std::size_t level = 0; level < kLevels; ++level) {
    if (name_at(strand, level).empty()) continue;
    LevelBelief one{kLevelNames[level], name_at(strand, level), 1, inside_->spread.samples[level], 0, 0};
    if (const auto it = inside_->nodes[level].find(upto(strand, level)); it != inside_->nodes[level].end())
      one = {one.level, one.name, it->second.mean / inside_->idle(level), it->second.shape + it->second.counted, it->second.counted, it->second.expected};
    out.push_back(std::move(one));
  }
  return out;
}

double Beliefs::mode_share(const Strand& strand, const std::string& mode, double shipped, double sample) const {
  double share = shipped;
  for (const std::size_t level : {std::size_t{1}, std::size_t{2}, std::size_t{4}}) {
    const Strand at = upto(strand, level);
    const auto sum = inside_->mode_sums[level].find(at);
    if (sum == inside_->mode_sums[level].end()) continue;
    const auto counted = inside_->modes[level].find({at, mode});
    const double weight = level == 1 ? (sample > 0 ? 1 / (1 / sample + 1 / inside_->spread.modes) : inside_->spread.modes) : inside_->spread.modes;
    share = (weight * share + (counted == inside_->modes[level].end() ? 0 : counted->second)) / (weight + sum->second);
  }
  return share;
}

std::map<std::string, double> Beliefs::told_modes(const std::string& rate_class) const {
  std::map<std::string, double> out;
  for (const auto& [key, count] : inside_->modes[0])
    if (key.first.rate_class == rate_class) out[key.second] += count;
  return out;
}

double Beliefs::symptom_factor(const std::string& symptom, const std::string& rate_class) const {
  const auto state = inside_->states.find(symptom);
  const auto sum = inside_->symptom_sums.find(symptom);
  if (state == inside_->states.end() || sum == inside_->symptom_sums.end()) return 1;
  const double total = inside_->state_sums.at(state->second);
  const auto of_class = inside_->state_classes.find({state->second, rate_class});
  // The class's share behind this symptom, drawn towards its share behind all symptoms of the same state, against the latter.
  const double share = (of_class == inside_->state_classes.end() ? 0 : of_class->second) / total;
  const double base = std::max(share, 1 / (total + kSymptomSample));
  const auto both = inside_->symptoms.find({symptom, rate_class});
  const double counted = both == inside_->symptoms.end() ? 0 : both->second;
  const double factor = (counted + kSymptomSample * base) / (sum->second + kSymptomSample) / base;
  return std::clamp(factor, 1 / kMostSymptom, kMostSymptom);
}

namespace {

struct Leaf { Node* at[kLevels]; double expected, counted; };

/// What each position was exposed to: its share of its machine's faults, once for every fault that was blamed on that machine.
std::map<Strand, double> exposures(const Tally& tally, const std::map<std::string, Population>& populations) {
  std::map<Strand, double> out;
  for (const auto& [id, blamed] : tally.stories) {
    const auto population = populations.find(id);
    if (population == populations.end()) continue;
    double sum = 0;
    for (const Exposure& part : population->second.parts) sum += whole(part.expected);
    if (sum <= 0) continue;
    for (const Exposure& part : population->second.parts) out[part.strand] += whole(blamed) * whole(part.expected) / sum;
  }
  return out;
}

double weight_of_class(const Knowledge& knowledge, const std::string& rate_class, const Profile& profile, double own) {
  if (rate_class == kOutsideClass) return own;
  double sample = knowledge.rate(rate_class, "", profile).sample;
  for (const RateRow& row : knowledge.entries().rates)
    if (row.rate_class == rate_class)
      for (const Figure& figure : row.figures)
        if (figure.profile == profile.id) sample = std::max(sample, figure.sample);
  return sample > 0 ? 1 / (1 / sample + 1 / own) : own;
}

}  // namespace

Beliefs believe(const Tally& tally, const std::map<std::string, Population>& populations, const Knowledge& knowledge, const std::string& profile_id) {
  Beliefs out;
  Beliefs::Inside& inside = *out.inside_;
  inside.spread = knowledge.entries().learning;
  const auto profile = knowledge.profile(profile_id);
  if (!profile.ok()) return out;
  const std::map<Strand, double> exposed = exposures(tally, populations);
  std::vector<Leaf> leaves;
  for (const auto& [strand, expected] : exposed) {
    Leaf leaf{{}, expected, 0};
    const auto counted = tally.blamed.find(strand);
    if (counted != tally.blamed.end()) leaf.counted = whole(counted->second);
    for (std::size_t level = 0; level < kLevels; ++level) {
      const auto [it, fresh] = inside.nodes[level].try_emplace(upto(strand, level));
      if (fresh) it->second.shape = level == 0 ? weight_of_class(knowledge, strand.rate_class, *profile.value(), inside.spread.samples[0]) : inside.spread.samples[level];
      leaf.at[level] = &it->second;
      it->second.counted += leaf.counted;
    }
    leaves.push_back(leaf);
  }
  for (int round = 0; round < kRounds; ++round)
    for (std::size_t level = 0; level < kLevels; ++level) {
      for (auto& [strand, node] : inside.nodes[level]) node.expected = 0;
      for (const Leaf& leaf : leaves) {
        double others = leaf.expected;
        for (std::size_t other = 0; other < kLevels; ++other)
          if (other != level) others *= leaf.at[other]->mean;
        leaf.at[level]->expected += others;
      }
      for (auto& [strand, node] : inside.nodes[level]) node.mean = inside.mean_of(node, level);
    }
  for (const auto& [key, count] : tally.modes)
    for (std::size_t level = 0; level < kLevels; ++level) {
      const Strand at = upto(key.first, level);
      inside.modes[level][{at, key.second}] += whole(count);
      inside.mode_sums[level][at] += whole(count);
    }
  for (const Symptom& symptom : knowledge.entries().symptoms) inside.states[symptom.id] = symptom.kind + " " + observe::name_of(symptom.word);
  for (const auto& [key, count] : tally.symptoms) {
    const auto state = inside.states.find(key.first);
    if (state == inside.states.end()) continue;
    inside.symptoms[key] += whole(count);
    inside.symptom_sums[key.first] += whole(count);
    inside.state_classes[{state->second, key.second}] += whole(count);
    inside.state_sums[state->second] += whole(count);
  }
  return out;
}

}  // namespace halfsplit::knowledge
