// Readings: POINT VALUE or VALUE at POINT, several behind commas, lists of points, round the chip.
//
// Idea: every split of the line into point and value is tried, longest point first; the value and the bench state decide between meanings of a
// name; when no split works the error of the split that understood most is given.
#include <fmt/core.h>

#include <algorithm>

#include "base/text.h"
#include "observe/chip_round.h"
#include "observe/fit.h"
#include "observe/point_finder.h"
#include "observe/sweep.h"
#include "observe/value_reader.h"

namespace halfsplit::observe {
namespace {

constexpr std::size_t kMostPointTokens = 12;
using Readings = std::vector<Observation>;

class Reader {
 public:
  Reader(const board::Machine& machine, const board::Setup& state) : machine_(machine), state_(state), finder_(machine) {}

  Result<Readings> one(const std::string& text) {
    best_.reset();
    best_rank_ = 0;
    const Typed typed = Typed::cut(text);
    if (typed.size() == 0) return usage("no reading given", "type a point and a value: U5.8 4.31V");
    if (auto round = chip_round(typed, finder_, state_); !round) return round.error();
    else if (!round.value().empty()) return std::move(round).value();
    if (auto swept = sweep(typed, finder_, state_); !swept) return swept.error();
    else if (!swept.value().empty()) return std::move(swept).value();
    if (Readings found = point_first(typed); !found.empty()) return found;
    if (Readings found = value_first(typed); !found.empty()) return found;
    return why_not(typed);
  }

 private:
  /// Readings of all points with the value, or nothing; the error of the failure is kept when it understood more than earlier ones.
  Readings with_value(const std::vector<Point>& points, const std::string& name, const Typed& value_text) {
    Readings out;
    for (Point point : points) {
      auto value = read_value(value_text, ValueContext{&machine_, where_of(point)});
      if (!value) {
        keep(2, Error(value.error()), name);
        return {};
      }
      if (value->kind == Kind::frequency) point = only_output(point);
      if (const Status fit = fits(point, *value, state_, machine_); !fit) {
        keep(3, Error(fit.error()), {});
        return {};
      }
      out.push_back(observation(point, std::move(*value)));
    }
    return out;
  }

  /// The frequency of a part with one output is read at that pin.
  Point only_output(const Point& point) const {
    if (point.at != Point::At::part) return point;
    const board::Part& part = machine_.part(point.part);
    std::optional<board::PinId> output;
    for (std::size_t i = 0; i < part.pin_count; ++i) {
      const board::PinId pin = machine_.pin_of(point.part, i);
      if (!parts::can_drive(machine_.pin_type(pin).role)) continue;
      if (output) return point;
      output = pin;
    }
    if (!output) return point;
    Point leg;
    leg.at = Point::At::leg;
    leg.pin = *output;
    return leg;
  }

  /// Of several meanings of one name those count that the value fits.
  Readings any_meaning(const std::vector<Point>& meanings, const std::string& name, const Typed& value_text) {
    Readings out;
    for (const Point& point : meanings) {
      Readings found = with_value({point}, name, value_text);
      if (found.empty()) continue;
      if (!out.empty()) {
        keep(4, usage(fmt::format("'{}' has two meanings on this machine: {} and {}", name, kind_and_name(out.front().point), kind_and_name(point)), "put part, net or function before it"), {});
        return {};
      }
      out = std::move(found);
    }
    return out;
  }

  std::string kind_and_name(const Point& point) const {
    const std::string text = describe(point, machine_);
    return point.at == Point::At::part ? "part " + text : point.at == Point::At::function ? "function " + text : text;
  }

  Readings point_first(const Typed& typed) {
    for (std::size_t n = std::min(kMostPointTokens, typed.size() - 1); n > 0; --n) {
      const std::string name = typed.slice(0, n);
      const Typed value = Typed::cut(typed.slice(n, typed.size()));
      if (Readings found = meanings_then_list(name, value); !found.empty()) return found;
    }
    return {};
  }

  Readings value_first(const Typed& typed) {
    for (std::size_t n = std::min(kMostPointTokens, typed.size() - 1); n > 0; --n) {
      const std::size_t from = typed.size() - n;
      std::size_t value_end = from;
      static constexpr std::string_view kJoints[] = {"at", "on", "of", "across", "for"};
      for (const std::string_view joint : kJoints)
        if (value_end > 1 && typed.is(value_end - 1, joint)) { --value_end; break; }
      const Typed value = Typed::cut(typed.slice(0, value_end));
      if (Readings found = meanings_then_list(typed.slice(from, typed.size()), value); !found.empty()) return found;
    }
    return {};
  }

  Readings meanings_then_list(const std::string& name, const Typed& value) {
    const std::vector<Point> meanings = finder_.find(name);
    if (!meanings.empty())
      if (Readings found = any_meaning(meanings, name, value); !found.empty()) return found;
    const std::vector<Point> list = finder_.find_list(name);
    return list.empty() ? Readings{} : with_value(list, name, value);
  }

  Observation observation(const Point& point, ParsedValue value) const {
    Observation out;
    out.setup = state_;
    out.point = point;
    out.kind = value.kind;
    out.value = std::move(value.value);
    out.condition = std::move(value.condition);
    out.share = value.share;
    out.sure = value.sure;
    out.how = std::move(value.how);
    out.cycle = std::move(value.cycle);
    if (needs_power_off(out.kind) && state_.powered()) {
      out.setup = state_.with(board::Action{.kind = board::Action::Kind::power_off});
      out.value.note += (out.value.note.empty() ? "" : ", ") + std::string("taken as power off");
    }
    return out;
  }

  static const char* example_for(Kind kind) {
    switch (kind) {
      case Kind::current:
      case Kind::smell: return "machine";
      case Kind::touch:
      case Kind::look:
      case Kind::part_test:
      case Kind::dump:
      case Kind::gain: return "U4";
      case Kind::ohms:
      case Kind::capacitance: return "R7";
      case Kind::continuity: return "J3.1-J4.2";
      case Kind::function:
      case Kind::count: return "picture";
      default: return "U5.8";
    }
  }

  void keep(int rank, Error error, const std::string& name) {
    if (rank <= best_rank_) return;
    best_rank_ = rank;
    if (!name.empty()) error.message = fmt::format("{} understood as the point; {}", name, error.message);
    best_ = std::move(error);
  }

  /// No split worked: name the half that was understood.
  Error why_not(const Typed& typed) {
    if (best_) return *best_;
    for (std::size_t n = 1; n < typed.size(); ++n)
      if (const auto value = read_value(Typed::cut(typed.slice(n, typed.size())), ValueContext{&machine_, kAnywhere})) {
        Error error = finder_.one(typed.slice(0, n)).ok() ? usage("the point and the value don't go together") : finder_.one(typed.slice(0, n)).error();
        error.message = fmt::format("{} understood as the value; {}", describe(value->value), error.message);
        return error;
      }
    if (const auto value = read_value(typed, ValueContext{&machine_, kAnywhere}))
      return usage(fmt::format("'{}' understood as a value, but read where?", typed.text()), fmt::format("type the point first: {} {}", example_for(value->kind), typed.text()));
    const auto point = finder_.one(typed.text());
    if (point) return usage(fmt::format("{} understood as the point, but the value is missing", describe(*point, machine_)), fmt::format("for {}: {}", name_of_where(where_of(*point)), words_for(where_of(*point))));
    Error error = finder_.one(typed.slice(0, 1)).ok() ? usage(fmt::format("'{}' is not understood", typed.text())) : finder_.one(typed.slice(0, 1)).error();
    if (error.hint.empty()) error.hint = "type a point and a value: U5.8 4.31V, R7 220R, U5.8 pulsing, C12 bulging";
    return error;
  }

  const board::Machine& machine_;
  const board::Setup& state_;
  PointFinder finder_;
  std::optional<Error> best_;
  int best_rank_ = 0;
};

/// Cuts at semicolons and at commas before a blank.
std::vector<std::string> pieces_of(const std::string& line) {
  std::vector<std::string> out(1);
  for (std::size_t i = 0; i < line.size(); ++i) {
    const bool comma = line[i] == ',' && i + 1 < line.size() && line[i + 1] == ' ';
    if (line[i] == ';' || comma) out.emplace_back();
    else out.back() += line[i];
  }
  return out;
}

constexpr std::size_t kMostPieces = 64;

/// "A0..A15 pulsing, A7 low": what is said of one point of a list afterwards counts for that point.
void add_readings(Readings& out, std::vector<bool>& of_list, Readings more) {
  for (const Observation& one : more)
    for (std::size_t i = out.size(); i-- > 0;) {
      if (!of_list[i] || !(out[i].point == one.point) || out[i].kind != one.kind || out[i].cycle != one.cycle) continue;
      out.erase(out.begin() + static_cast<std::ptrdiff_t>(i));
      of_list.erase(of_list.begin() + static_cast<std::ptrdiff_t>(i));
    }
  of_list.insert(of_list.end(), more.size(), more.size() > 1);
  out.insert(out.end(), std::make_move_iterator(more.begin()), std::make_move_iterator(more.end()));
}

constexpr std::string_view kOnGood = "--on good ";

}  // namespace

Result<std::vector<Observation>> parse_reading(std::string_view line, const board::Machine& machine, const board::Setup& state) {
  const auto clean = clean_line(line);
  if (!clean) return clean.error();
  const bool on_good = starts_with(*clean, kOnGood);
  if (!on_good && starts_with(*clean, "--on")) return usage(fmt::format("'{}' is not understood", *clean), "a reading of a good machine of this model: read --on good U5.8 2.8V");
  Reader reader(machine, state);
  const std::vector<std::string> pieces = pieces_of(on_good ? clean->substr(kOnGood.size()) : *clean);
  if (pieces.size() > kMostPieces) return usage(fmt::format("{} readings on one line; {} at most", pieces.size(), kMostPieces), "type them on several lines");
  Readings out;
  std::vector<bool> of_list;
  std::string open;  // pieces not yet turned into readings
  for (const std::string& piece : pieces) {
    const bool own = !open.empty() && reader.one(std::string(trim(piece))).ok();
    if (own) {
      if (auto before = reader.one(open); before) {
        add_readings(out, of_list, std::move(before).value());
        open.clear();
      }
    }
    open += (open.empty() ? "" : ", ") + std::string(trim(piece));
  }
  auto last = reader.one(open);
  if (!last) return last.error();
  add_readings(out, of_list, std::move(last).value());
  for (Observation& one : out) {
    one.typed = std::string(trim(line));
    one.on_good = on_good;
    if (on_good && one.kind == Kind::function) return usage("what a good machine does is known: everything works", "read --on good is for figures and levels: read --on good U5.8 2.8V");
    if (on_good && one.value.relative) return usage("a comparison tells nothing of a good machine", "type what it read: read --on good U5.8 2.8V");
  }
  return out;
}

}  // namespace halfsplit::observe
