#include "plan/information.h"

#include <algorithm>
#include <cmath>

namespace halfsplit::plan {
namespace {

using fault::Outcome;

constexpr std::size_t kMostRanges = 6;
constexpr std::size_t kMostPatterns = 20;
constexpr std::size_t kWords = std::tuple_size_v<decltype(Outcome::p)>;

std::vector<const Outcome*> distinct(const fault::OutcomeTable& table, std::size_t column, std::vector<std::uint32_t>& prediction_of) {
  std::vector<const Outcome*> out;
  for (std::size_t row = 0; row < table.rows; ++row) {
    const Outcome& cell = table.at(row, column);
    std::size_t which = 0;
    while (which < out.size() && !alike(*out[which], cell)) ++which;
    if (which == out.size()) out.push_back(&cell);
    prediction_of.push_back(static_cast<std::uint32_t>(which));
  }
  return out;
}

/// Spreads that lie so close that no reading can tell them apart.
struct Cluster { double weight = 0, mean = 0, deviation = 0; };

double distance(const Cluster& a, const Cluster& b) { return (b.mean - a.mean) / (a.deviation + b.deviation + 1e-12); }

Cluster merged(const Cluster& a, const Cluster& b) {
  const double weight = a.weight + b.weight;
  const double mean = (a.weight * a.mean + b.weight * b.mean) / weight;
  const auto moment = [mean](const Cluster& c) { return c.weight * (c.deviation * c.deviation + (c.mean - mean) * (c.mean - mean)); };
  return {weight, mean, std::sqrt((moment(a) + moment(b)) / weight)};
}

std::vector<Cluster> clusters(const std::vector<const Outcome*>& predictions) {
  std::vector<Cluster> out;
  for (const Outcome* prediction : predictions) {
    if (prediction->form != Outcome::Form::number) continue;
    for (const Outcome::Part& part : prediction->parts) {
      if (part.weight > 0) out.push_back({part.weight, part.mean, part.deviation});
    }
  }
  std::sort(out.begin(), out.end(), [](const Cluster& a, const Cluster& b) { return a.mean != b.mean ? a.mean < b.mean : a.deviation < b.deviation; });
  while (out.size() > 1) {
    std::size_t nearest = 0;
    for (std::size_t i = 1; i + 1 < out.size(); ++i) {
      if (distance(out[i], out[i + 1]) < distance(out[nearest], out[nearest + 1])) nearest = i;
    }
    if (out.size() <= kMostRanges && distance(out[nearest], out[nearest + 1]) > 0.5) break;
    out[nearest] = merged(out[nearest], out[nearest + 1]);
    out.erase(out.begin() + static_cast<std::ptrdiff_t>(nearest) + 1);
  }
  return out;
}

double below(const Outcome& prediction, double border) {
  double sum = 0;
  for (const Outcome::Part& part : prediction.parts) {
    if (part.weight > 0) sum += part.weight * 0.5 * std::erfc((part.mean - border) / (std::max(part.deviation, 1e-12f) * std::sqrt(2.0)));
  }
  return sum;
}

void group_numbers(const std::vector<const Outcome*>& predictions, Grouping& out) {
  const std::vector<Cluster> found = clusters(predictions);
  std::vector<double> borders;
  for (std::size_t i = 0; i + 1 < found.size(); ++i) {
    const Cluster &a = found[i], &b = found[i + 1];
    borders.push_back((a.mean * b.deviation + b.mean * a.deviation) / std::max(a.deviation + b.deviation, 1e-12));
  }
  observe::Unit unit = observe::Unit::none;
  for (const Outcome* prediction : predictions) {
    if (prediction->form == Outcome::Form::number) unit = prediction->unit;
  }
  for (std::size_t i = 0; i < found.size(); ++i) {
    observe::Value value;
    value.unit = unit;
    value.from = found[i].mean - 2 * found[i].deviation;
    value.to = found[i].mean + 2 * found[i].deviation;
    if (i > 0) value.from = std::max(value.from, borders[i - 1]);
    if (i < borders.size()) value.to = std::min(value.to, borders[i]);
    out.values.push_back(value);
  }
  for (const Outcome* prediction : predictions) {
    std::vector<double>& chance = out.chance.emplace_back(out.values.size(), 1.0 / static_cast<double>(out.values.size()));
    if (prediction->form != Outcome::Form::number) continue;
    double before = 0;
    for (std::size_t i = 0; i < chance.size(); ++i) {
      const double upto = i < borders.size() ? below(*prediction, borders[i]) : 1;
      chance[i] = std::max(0.0, upto - before);
      before = upto;
    }
  }
}

void group_words(const std::vector<const Outcome*>& predictions, Grouping& out) {
  std::vector<std::size_t> words;
  for (std::size_t word = 0; word < kWords; ++word) {
    const bool possible = std::any_of(predictions.begin(), predictions.end(), [&](const Outcome* prediction) { return prediction->form == Outcome::Form::words && prediction->p[word] > 0; });
    if (!possible) continue;
    words.push_back(word);
    observe::Value value;
    value.word = static_cast<observe::Word>(word);
    out.values.push_back(value);
  }
  for (const Outcome* prediction : predictions) {
    std::vector<double>& chance = out.chance.emplace_back(words.size(), 1.0 / static_cast<double>(words.size()));
    if (prediction->form != Outcome::Form::words) continue;
    for (std::size_t i = 0; i < words.size(); ++i) chance[i] = prediction->p[words[i]];
  }
}

/// Patterns of failing bits: what every prediction tells most probably, no report, and any other pattern.
void group_bits(const std::vector<const Outcome*>& predictions, Grouping& out) {
  std::vector<std::uint32_t> patterns{0};
  bool silent = false;
  for (const Outcome* prediction : predictions) {
    if (prediction->form != Outcome::Form::bits) continue;
    silent = silent || prediction->no_report > 0;
    const std::uint32_t pattern = fault::likeliest_bits(*prediction);
    if (patterns.size() < kMostPatterns && std::find(patterns.begin(), patterns.end(), pattern) == patterns.end()) patterns.push_back(pattern);
  }
  std::sort(patterns.begin(), patterns.end());
  observe::Value value;
  for (const std::uint32_t pattern : patterns) {
    value.failing = pattern;
    value.word = pattern == 0 ? observe::Word::right : observe::Word::wrong;
    out.values.push_back(value);
  }
  value.failing.reset();
  value.word = observe::Word::wrong;
  value.note = "other bits";
  out.values.push_back(value);
  if (silent) {
    value.word = observe::Word::dead;
    value.note = "no report";
    out.values.push_back(value);
  }
  for (const Outcome* prediction : predictions) {
    std::vector<double>& chance = out.chance.emplace_back(out.values.size(), 1.0 / static_cast<double>(out.values.size()));
    if (prediction->form != Outcome::Form::bits) continue;
    double told = 0;
    for (std::size_t i = 0; i < patterns.size(); ++i) told += chance[i] = fault::bits_probability(patterns[i], *prediction);
    chance[patterns.size()] = std::max(0.0, 1 - prediction->no_report - told);
    if (silent) chance.back() = prediction->no_report;
  }
}

double entropy(const std::vector<double>& p) {
  double sum = 0;
  for (const double value : p) {
    if (value > 0) sum -= value * std::log2(value);
  }
  return sum;
}

}  // namespace

bool alike(const Outcome& a, const Outcome& b) {
  if (a.form != b.form) return false;
  if (a.form == Outcome::Form::words) return a.p == b.p;
  if (a.form == Outcome::Form::none) return true;
  if (a.form == Outcome::Form::bits) return a.p == b.p && a.width == b.width && a.no_report == b.no_report && a.missed == b.missed;
  const auto equal = [](const Outcome::Part& x, const Outcome::Part& y) { return x.weight == y.weight && x.mean == y.mean && x.deviation == y.deviation; };
  return a.unit == b.unit && std::equal(a.parts.begin(), a.parts.end(), b.parts.begin(), equal);
}

Grouping group_outcomes(const fault::OutcomeTable& table, std::size_t column, double doubt) {
  Grouping out;
  const std::vector<const Outcome*> predictions = distinct(table, column, out.prediction_of);
  const bool numbers = std::any_of(predictions.begin(), predictions.end(), [](const Outcome* prediction) { return prediction->form == Outcome::Form::number; });
  const bool bits = std::any_of(predictions.begin(), predictions.end(), [](const Outcome* prediction) { return prediction->form == Outcome::Form::bits; });
  if (bits) group_bits(predictions, out);
  else numbers ? group_numbers(predictions, out) : group_words(predictions, out);
  for (std::vector<double>& chance : out.chance) {
    double sum = 0;
    for (const double value : chance) sum += value;
    for (double& value : chance) value = sum > 0 ? (1 - doubt) * value / sum + doubt / static_cast<double>(chance.size()) : 1.0 / static_cast<double>(chance.size());
  }
  return out;
}

double information(const Grouping& grouping, const std::vector<double>& weights, const std::vector<std::uint32_t>& class_of, std::size_t class_count) {
  if (!grouping.tells()) return 0;
  const std::size_t groups = grouping.values.size();
  std::vector<double> entropy_of(grouping.chance.size(), -1);
  std::vector<double> joint(class_count * groups, 0), class_weight(class_count, 0), all(groups, 0);
  std::vector<std::uint32_t> first(class_count);
  std::vector<std::uint8_t> mixed(class_count, 0);
  double total = 0;
  for (std::size_t row = 0; row < weights.size(); ++row) {
    const std::uint32_t kind = class_of[row], prediction = grouping.prediction_of[row];
    if (class_weight[kind] == 0) first[kind] = prediction;
    mixed[kind] |= first[kind] != prediction;
    class_weight[kind] += weights[row];
    total += weights[row];
    for (std::size_t g = 0; g < groups; ++g) joint[kind * groups + g] += weights[row] * grouping.chance[prediction][g];
  }
  if (total <= 0) return 0;
  double conditional = 0;
  for (std::size_t kind = 0; kind < class_count; ++kind) {
    if (class_weight[kind] <= 0) continue;
    for (std::size_t g = 0; g < groups; ++g) all[g] += joint[kind * groups + g] / total;
    if (!mixed[kind]) {
      double& known = entropy_of[first[kind]];
      if (known < 0) known = entropy(grouping.chance[first[kind]]);
      conditional += class_weight[kind] / total * known;
      continue;
    }
    std::vector<double> p(joint.begin() + static_cast<std::ptrdiff_t>(kind * groups), joint.begin() + static_cast<std::ptrdiff_t>((kind + 1) * groups));
    for (double& value : p) value /= class_weight[kind];
    conditional += class_weight[kind] / total * entropy(p);
  }
  return std::max(0.0, entropy(all) - conditional);
}

std::vector<double> marginal(const Grouping& grouping, const std::vector<double>& weights) {
  std::vector<double> out(grouping.values.size(), 0);
  double total = 0;
  for (std::size_t row = 0; row < weights.size(); ++row) {
    total += weights[row];
    for (std::size_t g = 0; g < out.size(); ++g) out[g] += weights[row] * grouping.chance[grouping.prediction_of[row]][g];
  }
  for (double& value : out) value /= total > 0 ? total : 1;
  return out;
}

}  // namespace halfsplit::plan
