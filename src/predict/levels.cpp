#include "predict/levels.h"

#include <cmath>

#include "parts/stand_in.h"

namespace halfsplit::predict {

using fault::Outcome;
using logic::Seen;
using observe::Word;

namespace {

constexpr double kUnknownHigh = 4.0, kUnknownHighSpread = 0.6;  // volts

std::size_t at(Word word) { return static_cast<std::size_t>(word); }

struct Called { Word word; double share; };

Outcome words(const std::vector<std::pair<Seen, std::vector<Called>>>& table, std::uint8_t seen) {
  Outcome out;
  int bits = 0;
  for (const auto& [bit, calls] : table) bits += (seen & bit) != 0;
  if (bits == 0) return out;
  out.form = Outcome::Form::words;
  for (const auto& [bit, calls] : table) {
    if ((seen & bit) == 0) continue;
    for (const auto& call : calls) out.p[at(call.word)] += static_cast<float>(call.share / bits);
  }
  return out;
}

}  // namespace

NetLevels levels_of(const board::Machine& machine, board::NetId id) {
  NetLevels out;
  const auto& net = machine.net(id);
  if (net.kind != board::NetKind::signal) {
    out.rail = true;
    out.rail_v = net.kind == board::NetKind::ground ? 0 : net.rail_v;
    out.rail_spread_v = net.kind == board::NetKind::ground ? 0.03 : std::max(0.02, std::abs(net.rail_v) * net.tolerance / 2);
    return out;
  }
  for (const auto pin : net.pins) {
    const board::Part& part = machine.part(machine.pin(pin).part);
    if (parts::stands_in(*part.type)) {  // any family, or tied to the rail
      out.high_v = kUnknownHigh;
      out.high_spread_v = kUnknownHighSpread;
    }
    const auto* family = part.family;
    if (family == nullptr) continue;
    const bool drives = parts::can_drive(machine.pin_type(pin).role);
    if (drives) {
      out.low_v = family->low_v;
      out.high_v = family->high_v;
    }
    out.float_v = std::max(out.float_v, family->float_v);
  }
  return out;
}

Outcome probe_outcome(std::uint8_t seen) {
  static const std::vector<std::pair<Seen, std::vector<Called>>> table{{logic::kLow, {{Word::low, 1}}},
                                                                       {logic::kHigh, {{Word::high, 1}}},
                                                                       {logic::kPulsing, {{Word::pulsing, 1}}},
                                                                       {logic::kFloating, {{Word::floating, 1}}},
                                                                       {logic::kMiddle, {{Word::middle, 0.7}, {Word::low, 0.1}, {Word::pulsing, 0.2}}},
                                                                       {logic::kDead, {{Word::absent, 1}}}};
  return words(table, seen);
}

Outcome function_outcome(std::uint8_t seen) {
  static const std::vector<std::pair<Seen, std::vector<Called>>> table{
      {logic::kRight, {{Word::right, 1}}},
      {logic::kWrong, {{Word::wrong, 0.75}, {Word::dead, 0.15}, {Word::weak, 0.06}, {Word::intermittent, 0.04}}},
      {logic::kDead, {{Word::dead, 0.85}, {Word::wrong, 0.13}, {Word::weak, 0.01}, {Word::intermittent, 0.01}}}};
  return words(table, seen);
}

Outcome content_outcome(std::uint8_t seen) {
  static const std::vector<std::pair<Seen, std::vector<Called>>> table{{logic::kRight, {{Word::right, 1}}}, {logic::kWrong, {{Word::wrong, 0.9}, {Word::dead, 0.1}}}};
  return words(table, seen);
}

Outcome volts_outcome(std::uint8_t seen, const NetLevels& levels) {
  Outcome out;
  std::vector<Outcome::Part> parts;
  const auto add = [&](double mean, double spread) { parts.push_back({1.0f, static_cast<float>(mean), static_cast<float>(spread)}); };
  if (levels.rail) {
    if (seen & logic::kLow) levels.rail_v == 0 ? add(0, levels.rail_spread_v) : add(0.12, 0.2);
    if (seen & logic::kHigh) levels.rail_v == 0 ? add(2.0, 1.5) : add(levels.rail_v, levels.rail_spread_v);
    if (seen & (logic::kPulsing | logic::kMiddle)) {  // off: sagging, or through to what feeds it
      add(levels.rail_v * 0.75, std::abs(levels.rail_v) * 0.15 + 0.1);
      if (parts.size() < 3) add(levels.rail_v * 1.5, std::abs(levels.rail_v) * 0.25 + 0.1);
    }
    if ((seen & logic::kFloating) && !(seen & logic::kLow) && parts.size() < 3) add(0.12, 0.2);  // its loads draw it down
  } else {
    if (seen & logic::kLow) add(levels.low_v, levels.low_spread_v);
    if (seen & logic::kHigh) add(levels.high_v, levels.high_spread_v);
    if (seen & logic::kPulsing) add((levels.low_v + levels.high_v) / 2, (levels.high_v - levels.low_v) / 4);
    if ((seen & logic::kFloating) && parts.size() < 3) add(levels.float_v, levels.float_spread_v);
    if ((seen & logic::kMiddle) && parts.size() < 3) add(1.4, 0.4);
  }
  if (parts.empty()) return out;
  out.form = Outcome::Form::number;
  out.unit = observe::Unit::volts;
  for (std::size_t i = 0; i < parts.size() && i < out.parts.size(); ++i) {
    out.parts[i] = parts[i];
    out.parts[i].weight = 1.0f / static_cast<float>(parts.size());
  }
  return out;
}

Outcome swing_outcome(std::uint8_t seen, const NetLevels& levels) {
  std::vector<Outcome::Part> parts;
  const auto add = [&](double mean, double spread) { parts.push_back({1.0f, static_cast<float>(mean), static_cast<float>(spread)}); };
  if (seen & (logic::kLow | logic::kHigh | logic::kFloating)) add(0.08, 0.08);
  if (seen & logic::kPulsing) add(levels.rail ? 0.2 : levels.high_v - levels.low_v, levels.rail ? 0.2 : 0.4);
  if (seen & logic::kMiddle) add(1.3, 0.5);
  Outcome out;
  if (parts.empty()) return out;
  out.form = Outcome::Form::number;
  out.unit = observe::Unit::volts;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    out.parts[i] = parts[i];
    out.parts[i].weight = 1.0f / static_cast<float>(parts.size());
  }
  return out;
}

std::optional<Seen> seen_in(const observe::Value& value, observe::Kind kind, const NetLevels& levels) {
  if (value.word) {
    switch (*value.word) {
      case Word::low: return logic::kLow;
      case Word::high: return logic::kHigh;
      case Word::pulsing: return logic::kPulsing;
      case Word::floating: return logic::kFloating;
      case Word::middle: return logic::kMiddle;
      default: return std::nullopt;
    }
  }
  if (kind != observe::Kind::volts_dc || value.unit != observe::Unit::volts || levels.rail) return std::nullopt;
  const double v = (value.from + value.to) / 2;
  if (v < 0.45) return logic::kLow;
  if (v > levels.high_v - 0.3) return logic::kHigh;
  return std::nullopt;
}

}  // namespace halfsplit::predict
