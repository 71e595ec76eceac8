// Bench states: words that do and undo - "U4-out lid-off J3-unplugged U7.6-lifted U5.3-U5.4-bridged key-A-held power-off".
#include <fmt/core.h>

#include <algorithm>
#include <array>

#include "base/text.h"
#include "observe/parse.h"
#include "observe/point_finder.h"
#include "observe/typed.h"

namespace halfsplit::observe {
namespace {

using board::Action;
enum class On : std::uint8_t { power, part, pin, pair, key, cover };
struct Verb { std::string_view word; Action::Kind kind; On on; bool undo; };
/// For one word the first row that its subject fits counts.
constexpr std::array kVerbs = {
    Verb{"off", Action::Kind::power_off, On::power, false},   Verb{"on", Action::Kind::power_off, On::power, true},
    Verb{"off", Action::Kind::open, On::cover, false},        Verb{"on", Action::Kind::open, On::cover, true},
    Verb{"open", Action::Kind::open, On::cover, false},       Verb{"closed", Action::Kind::open, On::cover, true},
    Verb{"removed", Action::Kind::open, On::cover, false},    Verb{"out", Action::Kind::pull, On::part, false},
    Verb{"pulled", Action::Kind::pull, On::part, false},      Verb{"removed", Action::Kind::pull, On::part, false},
    Verb{"in", Action::Kind::pull, On::part, true},           Verb{"back", Action::Kind::pull, On::part, true},
    Verb{"fitted", Action::Kind::pull, On::part, true},       Verb{"refitted", Action::Kind::pull, On::part, true},
    Verb{"unplugged", Action::Kind::unplug, On::part, false}, Verb{"plugged", Action::Kind::unplug, On::part, true},
    Verb{"lifted", Action::Kind::lift, On::pin, false},       Verb{"down", Action::Kind::lift, On::pin, true},
    Verb{"resoldered", Action::Kind::lift, On::pin, true},    Verb{"unlifted", Action::Kind::lift, On::pin, true},
    Verb{"bridged", Action::Kind::bridge, On::pair, false},   Verb{"unbridged", Action::Kind::bridge, On::pair, true},
    Verb{"held", Action::Kind::hold, On::key, false},         Verb{"pressed", Action::Kind::hold, On::key, false},
    Verb{"released", Action::Kind::hold, On::key, true},      Verb{"low", Action::Kind::force_low, On::pin, false},
    Verb{"grounded", Action::Kind::force_low, On::pin, false}, Verb{"high", Action::Kind::force_high, On::pin, false},
    Verb{"free", Action::Kind::force_low, On::pin, true}};
constexpr std::array<std::string_view, 12> kCovers = {"lid", "cover", "case", "top", "bottom", "shield", "screen", "back", "front", "bezel", "top-cover", "bottom-cover"};
constexpr std::string_view kHow = "type U4-out, U4-in, J3-unplugged, U7.6-lifted, U5.3-U5.4-bridged, key-a-held, lid-off, power-off; each the other way to undo it";

bool known_verb(std::string_view word) {
  return std::any_of(kVerbs.begin(), kVerbs.end(), [&](const Verb& verb) { return verb.word == word; });
}

struct Change { std::string subject, verb; };

/// "U4-out" or "U4 out"; the verb stands last.
Result<std::vector<Change>> changes_in(const std::string& line) {
  std::vector<Change> out;
  std::string subject;
  for (const std::string_view raw : words(line)) {
    std::string_view word = raw;
    while (!word.empty() && (word.back() == ',' || word.back() == ';')) word.remove_suffix(1);
    if (word.empty() || lower(word) == "and") continue;
    const std::size_t dash = word.rfind('-');
    const bool glued = dash != std::string_view::npos && dash > 0 && known_verb(lower(word.substr(dash + 1)));
    if (!glued && !known_verb(lower(word))) {
      if (lower(word) != "forced") subject += (subject.empty() ? "" : " ") + std::string(word);
      continue;
    }
    if (glued) subject += (subject.empty() ? "" : " ") + std::string(word.substr(0, dash));
    if (ends_with(lower(subject), "-forced")) subject.resize(subject.size() - 7);
    if (subject.empty()) return usage(fmt::format("'{}' of what?", word), std::string(kHow));
    out.push_back({std::exchange(subject, {}), lower(glued ? word.substr(dash + 1) : word)});
  }
  if (subject.empty()) return out;
  const std::string low = lower(subject);
  if (low == "complete" || low == "all back" || low == "untouched") {
    out.push_back({"", "complete"});
    return out;
  }
  return usage(fmt::format("'{}' is not a change of the bench state", subject), std::string(kHow));
}

class StateReader {
 public:
  StateReader(const board::Machine& machine, board::Setup now) : machine_(machine), finder_(machine), now_(std::move(now)) {}

  Status apply(const Change& change) {
    if (change.verb == "complete") {
      now_ = board::Setup{};
      return Done{};
    }
    std::optional<Error> why;
    for (const Verb& verb : kVerbs) {
      if (verb.word != change.verb) continue;
      auto action = action_of(change.subject, verb);
      if (!action) {
        why = action.error();
        continue;
      }
      if (!action.value()) continue;
      return verb.undo ? undo(**action, change) : perform(**action);
    }
    if (why) return *why;
    return usage(fmt::format("'{} {}' is not a change of the bench state", change.subject, change.verb), std::string(kHow));
  }
  const board::Setup& now() const { return now_; }
  const std::vector<Action>& done() const { return done_; }

 private:
  using Made = Result<std::optional<Action>>;

  Made action_of(const std::string& subject, const Verb& verb) {
    const std::string low = lower(subject);
    switch (verb.on) {
      case On::power: return low == "power" || low == "mains" || low == "switch" ? std::optional<Action>{Action{.kind = verb.kind}} : std::nullopt;
      case On::cover: return cover(low, verb.kind);
      case On::part: return part(subject, verb.kind);
      case On::pin: return pin(subject, verb.kind);
      case On::pair: return bridge(subject);
      case On::key: return key(subject);
    }
    return std::optional<Action>{};
  }

  /// A cover of every machine, or the one that opens a zone of this one ("supply-lid").
  Made cover(std::string low, Action::Kind kind) {
    std::replace(low.begin(), low.end(), ' ', '-');
    const bool zone = std::any_of(machine_.zones().begin(), machine_.zones().end(), [&](const board::Zone& one) { return lower(one.open_when) == low + "-off" || lower(one.open_when) == low; });
    if (!zone && std::find(kCovers.begin(), kCovers.end(), low) == kCovers.end()) return std::optional<Action>{};
    return std::optional<Action>{Action{.kind = kind, .what = low}};
  }

  Made part(const std::string& subject, Action::Kind kind) {
    const auto point = finder_.one(subject);
    if (!point) return point.error();
    if (point->at != Point::At::part) return usage(fmt::format("{} is not a part", describe(*point, machine_)), std::string(kHow));
    return std::optional<Action>{Action{.kind = kind, .part = point->part}};
  }

  Made pin(const std::string& subject, Action::Kind kind) {
    const auto point = finder_.one(subject);
    if (!point) return point.error();
    if (point->at != Point::At::leg) return usage(fmt::format("{} is not a pin", describe(*point, machine_)), "type the pin: U7.6-lifted, U5.3-low");
    if (kind == Action::Kind::force_low || kind == Action::Kind::force_high)
      if (const std::string why = never_forced(point->pin); !why.empty()) return usage(fmt::format("{} is on {}, and that is never forced", machine_.name_of(point->pin), why), "force a signal line, through about 10 ohm");
    return std::optional<Action>{Action{.kind = kind, .pin = point->pin}};
  }

  /// A rail, the ground, and what an oscillator or crystal drives: forcing those destroys something. Empty for other lines.
  std::string never_forced(board::PinId pin) const {
    const board::NetId net = machine_.pin(pin).net;
    if (!net.known()) return {};
    if (machine_.net(net).kind != board::NetKind::signal) return machine_.net(net).name + (machine_.net(net).kind == board::NetKind::rail ? ", a rail" : ", the ground");
    for (const board::PinId other : machine_.net(net).pins) {
      const auto& type = *machine_.part(machine_.pin(other).part).type;
      const bool clock = std::any_of(type.blocks.begin(), type.blocks.end(), [](const auto& block) { return block.kind == parts::Template::oscillator || block.kind == parts::Template::crystal; });
      if (clock) return machine_.net(net).name + ", a clock output";
    }
    return {};
  }

  Made bridge(const std::string& subject) {
    const auto point = finder_.one(subject);
    if (!point) return point.error();
    if (point->at != Point::At::pair || !point->pin.known() || !point->other.known())
      return usage(fmt::format("{} is not a pair of pins", describe(*point, machine_)), "type both pins: U5.3-U5.4-bridged");
    return std::optional<Action>{Action{.kind = Action::Kind::bridge, .pin = std::min(point->pin, point->other), .other = std::max(point->pin, point->other)}};
  }

  /// A key by its function ("key-a", or "a") or a switch by its reference.
  Made key(const std::string& subject) {
    for (const std::string& name : {subject, "key-" + subject})
      for (const Point& point : finder_.find(name)) {
        if (point.at == Point::At::part) return std::optional<Action>{Action{.kind = Action::Kind::hold, .part = point.part}};
        if (point.at != Point::At::function) continue;
        const auto held = machine_.function(point.function).held;
        if (!held) return usage(fmt::format("{} is not a key", machine_.function(point.function).id), "type a key's function or its switch: key-a-held, SW12-held");
        return std::optional<Action>{Action{.kind = Action::Kind::hold, .part = *held}};
      }
    const auto point = finder_.one(subject);
    return point ? usage(fmt::format("{} is not a key", describe(*point, machine_)), "type a key's function or its switch: key-a-held, SW12-held") : point.error();
  }

  Status perform(const Action& action) {
    now_ = now_.with(action);
    done_.push_back(action);
    return Done{};
  }

  Status undo(Action action, const Change& change) {
    if (action.kind == Action::Kind::power_off) {
      now_ = now_.without(action);
      return Done{};
    }
    const auto& all = now_.actions();
    const auto there = [&](const Action& one) { return std::find(all.begin(), all.end(), one) != all.end(); };
    if (action.kind == Action::Kind::force_low && !there(action)) action.kind = Action::Kind::force_high;
    if (!there(action))
      return usage(fmt::format("'{}-{}' undoes what isn't so: now {}", change.subject, change.verb, board::describe(now_, machine_)), std::string(kHow));
    now_ = now_.without(action);
    return Done{};
  }

  const board::Machine& machine_;
  PointFinder finder_;
  board::Setup now_;
  std::vector<Action> done_;
};

}  // namespace

Result<StateLine> parse_state_line(std::string_view line, const board::Machine& machine, const board::Setup& now) {
  const auto clean = clean_line(line);
  if (!clean) return clean.error();
  const std::size_t colon = std::min(clean->find(':'), clean->size());
  const auto changes = changes_in(clean->substr(0, colon));
  if (!changes) return changes.error();
  if (changes->empty()) return usage("no change given", std::string(kHow));
  StateReader reader(machine, now);
  for (const Change& change : *changes)
    if (Status done = reader.apply(change); !done) return done.error();
  const std::string_view remark = colon < clean->size() ? std::string_view(*clean).substr(colon + 1) : std::string_view();
  return StateLine{reader.now(), reader.done(), std::string(trim(remark))};
}

Result<board::Setup> parse_state(std::string_view line, const board::Machine& machine, const board::Setup& now) {
  auto read = parse_state_line(line, machine, now);
  if (!read) return read.error();
  return read->now;
}

}  // namespace halfsplit::observe
