#include "observe/point_finder.h"

#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <charconv>
#include <cmath>

#include "base/text.h"
#include "observe/parse.h"
#include "observe/typed.h"

namespace halfsplit::observe {
namespace {

constexpr std::string_view kHow = "type U5.8 for a pin, R7 for a part, net A5 for a net, J3.1-J4.2 for a pair";

bool digit(char c) { return c >= '0' && c <= '9'; }
bool all_digits(std::string_view text) { return !text.empty() && std::all_of(text.begin(), text.end(), digit); }
bool same_text(std::string_view a, std::string_view b) {
  return a.size() == b.size() && std::equal(a.begin(), a.end(), b.begin(), [](char x, char y) { return std::tolower(static_cast<unsigned char>(x)) == std::tolower(static_cast<unsigned char>(y)); });
}

/// Net name without case, sheet marks and active-low marks, for a quick look before the machine is asked.
std::string key_of(std::string_view name) {
  std::string out;
  for (std::size_t i = 0; i < name.size(); ++i) {
    if (starts_with(name.substr(i), "{SLASH}") || starts_with(name.substr(i), "{slash}")) { i += 6; continue; }
    if (std::string_view("/~{}#*\\").find(name[i]) == std::string_view::npos) out += static_cast<char>(std::tolower(static_cast<unsigned char>(name[i])));
  }
  return out;
}

constexpr std::array<std::string_view, 6> kPinWords = {"pin", "pins", "leg", "contact", "terminal", "p"};
bool pin_word(std::string_view word) {
  return std::any_of(kPinWords.begin(), kPinWords.end(), [&](std::string_view known) { return same_text(word, known); });
}
/// "pin 20" -> "20", "p20" -> "20", "20" stays.
std::string_view bare_pin(std::string_view text) {
  text = trim(text);
  const auto pieces = words(text);
  if (pieces.size() == 2 && pin_word(pieces[0])) return pieces[1];
  if (text.size() > 1 && (text[0] == 'p' || text[0] == 'P') && all_digits(text.substr(1))) return text.substr(1);
  return text;
}

/// Text between the outermost brackets at the end, and what stands before them.
std::optional<std::pair<std::string_view, std::string_view>> bracketed(std::string_view text) {
  if (text.empty() || text.back() != ')') return std::nullopt;
  const std::size_t open = text.rfind('(');
  if (open == std::string_view::npos) return std::nullopt;
  return std::pair(trim(text.substr(0, open)), trim(text.substr(open + 1, text.size() - open - 2)));
}

std::string without_article(std::string_view text) {
  for (const std::string_view article : {"the ", "of ", "on ", "at "})
    if (text.size() > article.size() && same_text(text.substr(0, article.size()), article)) return without_article(trim(text.substr(article.size())));
  return std::string(text);
}

}  // namespace

PointFinder::PointFinder(const board::Machine& machine) : machine_(machine) {
  net_keys_.reserve(machine.nets().size());
  for (const board::Net& net : machine.nets()) net_keys_.push_back(key_of(net.name));
}

std::optional<board::PartId> PointFinder::part(std::string_view ref) {
  ref = trim(ref);
  if (ref.empty()) return std::nullopt;
  const auto named = [&](const board::Part& part) { return same_text(part.ref, ref) || same_text(part.local_ref, ref) || (ref.find('/') != std::string_view::npos && ends_with(lower(ref), "/" + lower(part.local_ref))); };
  if (std::none_of(machine_.parts().begin(), machine_.parts().end(), named)) return std::nullopt;
  const auto found = machine_.find_part(ref);
  if (found) return *found;
  near_ = found.error();
  return std::nullopt;
}

std::optional<board::NetId> PointFinder::net(std::string_view name) {
  const std::string key = key_of(trim(name));
  if (key.empty() || std::none_of(net_keys_.begin(), net_keys_.end(), [&](const std::string& known) { return ends_with(known, key); })) return std::nullopt;
  const auto found = machine_.find_net(trim(name));
  if (found) return *found;
  if (found.error().code == ErrorCode::usage) near_ = found.error();
  return std::nullopt;
}

/// "5V", "+5v rail", "GND", "ground", "0V": the one rail with these volts, the one ground.
std::optional<board::NetId> PointFinder::rail(std::string_view name) {
  std::string_view text = trim(name);
  for (const std::string_view ending : {" rail", " line", " supply"})
    if (text.size() > ending.size() && same_text(text.substr(text.size() - ending.size()), ending)) text = trim(text.substr(0, text.size() - ending.size()));
  const bool ground = same_text(text, "gnd") || same_text(text, "ground") || same_text(text, "0v") || same_text(text, "earth");
  const Typed typed = Typed::cut(std::string(text));
  const bool volts = typed.size() == 1 && typed.number_at(0) && typed.at(0)->amount.unit.unit == Unit::volts && typed.at(0)->amount.from == typed.at(0)->amount.to;
  if (!ground && !volts) return net(text);
  std::vector<board::NetId> found;
  for (std::size_t i = 0; i < machine_.nets().size(); ++i) {
    const board::Net& one = machine_.nets()[i];
    if (ground ? one.kind == board::NetKind::ground : one.kind == board::NetKind::rail && std::abs(one.rail_v - typed.at(0)->amount.low_si()) < 1e-6) found.emplace_back(i);
  }
  if (found.size() == 1) return found.front();
  if (found.size() > 1) {
    std::vector<std::string> names;
    for (const board::NetId id : found) names.push_back(machine_.net(id).name);
    near_ = usage(fmt::format("'{}' is the name of {} nets", text, found.size()), "say which: " + join(names, ", "));
  }
  return std::nullopt;
}

std::optional<board::PinId> PointFinder::pin_of(board::PartId part_id, std::string_view pin) {
  pin = bare_pin(pin);
  if (pin.empty() || pin.find(' ') != std::string_view::npos) return std::nullopt;
  const board::Part& part = machine_.part(part_id);
  const auto found = machine_.find_pin(fmt::format("{}.{}", part.ref, pin));
  if (found && machine_.pin(*found).part == part_id) return *found;
  if (found) return std::nullopt;
  const std::string fallback = part.pin_count > 0 ? fmt::format("{} has {} pins; type {}", part.ref, part.pin_count, machine_.name_of(part.first_pin)) : "";
  near_ = not_found(found.error().message, found.error().hint.empty() ? fallback : found.error().hint);
  return std::nullopt;
}

/// "U5 pin 8", "pin 8 of U5", "U5 p8", "U5 8", "Q3 e".
std::optional<board::PinId> PointFinder::leg_in_words(std::string_view text) {
  const auto pieces = words(text);
  if (pieces.size() < 2 || pieces.size() > 5) return std::nullopt;
  if (pin_word(pieces[0]) && pieces.size() >= 3) {
    const std::string ref = without_article(trim(text.substr(static_cast<std::size_t>(pieces[2].data() - text.data()))));
    if (const auto part_id = part(ref)) return pin_of(*part_id, pieces[1]);
  }
  if (bare_pin(pieces[0]) != pieces[0] && pieces.size() >= 2) {
    const std::string ref = without_article(trim(text.substr(static_cast<std::size_t>(pieces[1].data() - text.data()))));
    if (const auto part_id = part(ref)) return pin_of(*part_id, pieces[0]);
  }
  const auto part_id = part(pieces[0]);
  if (!part_id) return std::nullopt;
  return pin_of(*part_id, trim(text.substr(static_cast<std::size_t>(pieces[1].data() - text.data()))));
}

/// "U5.8", "U5:8", "U1P4", "C-3".
std::optional<board::PinId> PointFinder::leg_with_mark(std::string_view text) {
  if (text.find(' ') != std::string_view::npos) return std::nullopt;
  for (const char mark : {'.', ':', '-'})
    for (std::size_t at = text.rfind(mark); at != std::string_view::npos && at > 0; at = text.rfind(mark, at - 1)) {
      const auto part_id = part(text.substr(0, at));
      if (!part_id) continue;
      const auto found = pin_of(*part_id, text.substr(at + 1));
      if (!found) continue;
      const std::string joined = std::string(text.substr(0, at)) + std::string(text.substr(at + 1));
      if (mark == '-' && part(joined)) {
        near_ = usage(fmt::format("'{}' can be {} or the part {}", text, machine_.name_of(*found), joined), fmt::format("type {} or {}", machine_.name_of(*found), joined));
        return std::nullopt;
      }
      return found;
    }
  const std::size_t p = text.find_last_of("pP");
  if (p == std::string_view::npos || p == 0 || !digit(text[p - 1]) || !all_digits(text.substr(p + 1))) return std::nullopt;
  const auto part_id = part(text.substr(0, p));
  return part_id ? pin_of(*part_id, text.substr(p + 1)) : std::nullopt;
}

std::optional<board::PinId> PointFinder::leg(std::string_view text) {
  text = trim(text);
  if (const auto cut = bracketed(text)) {
    const auto part_id = part(cut->first);
    return part_id ? pin_of(*part_id, cut->second) : std::nullopt;
  }
  if (const auto found = leg_with_mark(text)) return found;
  return leg_in_words(text);
}

std::optional<PointFinder::Tip> PointFinder::tip(std::string_view text) {
  const std::string bare = without_article(trim(text));
  if (const auto pin = leg(bare)) return Tip{*pin, {}};
  for (const std::string_view word : {"net ", "signal "})
    if (bare.size() > word.size() && same_text(bare.substr(0, word.size()), word)) return tip(bare.substr(word.size()));
  if (const auto found = rail(bare)) return Tip{{}, *found};
  return std::nullopt;
}

std::optional<Point> PointFinder::function(std::string_view text) {
  std::string wanted = lower(trim(text));
  std::replace(wanted.begin(), wanted.end(), ' ', '-');
  const auto& all = machine_.functions();
  for (std::size_t i = 0; i < all.size(); ++i)
    if (lower(all[i].id) == wanted || (!all[i].title.empty() && same_text(all[i].title, trim(text)))) {
      Point point;
      point.at = Point::At::function;
      point.function = board::FunctionId(i);
      return point;
    }
  return std::nullopt;
}

namespace {

Point net_point(board::NetId net) {
  Point point;
  point.at = Point::At::net;
  point.net = net;
  return point;
}

Point part_point(board::PartId part) {
  Point point;
  point.at = Point::At::part;
  point.part = part;
  return point;
}

Point leg_point(board::PinId pin) {
  Point point;
  point.at = Point::At::leg;
  point.pin = pin;
  return point;
}

struct SideWord { std::string_view word; Side side; };
constexpr std::array kSides = {SideWord{"far end", Side::far_end}, SideWord{"far-end", Side::far_end}, SideWord{"far side", Side::far_end}, SideWord{"pad", Side::pad},
                               SideWord{"leg", Side::leg},         SideWord{"socket", Side::socket},   SideWord{"board", Side::board},     SideWord{"plug", Side::plug}};

/// Cuts a side word off the end ("U5.8 pad", "J3.1 (plug side)") or the front ("pad of U5.8").
std::optional<std::pair<std::string, Side>> cut_side(std::string_view text) {
  std::string whole(trim(text));
  if (const auto cut = bracketed(whole)) whole = std::string(cut->first) + " " + std::string(cut->second);
  constexpr std::string_view kSideWord = " side";
  if (whole.size() > kSideWord.size() && !same_text(std::string_view(whole).substr(whole.size() - std::min<std::size_t>(8, whole.size())), "far side") &&
      same_text(std::string_view(whole).substr(whole.size() - kSideWord.size()), kSideWord))
    whole.resize(whole.size() - kSideWord.size());
  const std::string_view view = whole;
  for (const auto& [word, side] : kSides) {
    if (view.size() > word.size() + 1 && view[view.size() - word.size() - 1] == ' ' && same_text(view.substr(view.size() - word.size()), word))
      return std::pair(std::string(trim(view.substr(0, view.size() - word.size()))), side);
    if (view.size() > word.size() + 1 && view[word.size()] == ' ' && same_text(view.substr(0, word.size()), word))
      return std::pair(without_article(trim(view.substr(word.size()))), side);
  }
  return std::nullopt;
}

/// Places where a pair can be cut, with the length of the joint; words before bare hyphens.
std::vector<std::pair<std::size_t, std::size_t>> pair_cuts(std::string_view text) {
  std::vector<std::pair<std::size_t, std::size_t>> out;
  for (const std::string_view joint : {" to ", " and ", " - "})
    if (const std::size_t at = text.find(joint); at != std::string_view::npos) out.emplace_back(at, joint.size());
  for (std::size_t at = text.find('-', 1); at != std::string_view::npos; at = text.find('-', at + 1)) out.emplace_back(at, 1);
  return out;
}

std::string_view without_between(std::string_view text) {
  for (const std::string_view word : {"between ", "across ", "from "})
    if (text.size() > word.size() && same_text(text.substr(0, word.size()), word)) return trim(text.substr(word.size()));
  return text;
}

/// "U5 pins 11 and 13", "C12 (pins 11 and 13)": the part and what stands behind "pins".
std::optional<std::pair<std::string_view, std::string_view>> pins_of_part(std::string_view text) {
  constexpr std::string_view kPins = "pins ";
  if (const auto cut = bracketed(text)) {
    const std::string_view inner = cut->second;
    if (inner.size() > kPins.size() && same_text(inner.substr(0, kPins.size()), kPins)) return std::pair(cut->first, trim(inner.substr(kPins.size())));
    return std::nullopt;
  }
  const std::size_t at = lower(text).find(" pins ");
  if (at != std::string_view::npos) return std::pair(trim(text.substr(0, at)), trim(text.substr(at + kPins.size() + 1)));
  return std::nullopt;
}

}  // namespace

std::optional<Point> PointFinder::pair(std::string_view whole) {
  const std::string_view text = without_between(trim(whole));
  Point point;
  point.at = Point::At::pair;
  if (const auto of_part = pins_of_part(text)) {
    const auto part_id = part(of_part->first);
    const auto cuts = pair_cuts(of_part->second);
    if (!part_id || cuts.empty()) return std::nullopt;
    const auto a = pin_of(*part_id, of_part->second.substr(0, cuts.front().first));
    const auto b = pin_of(*part_id, of_part->second.substr(cuts.front().first + cuts.front().second));
    if (!a || !b || *a == *b) return std::nullopt;
    point.pin = *a;
    point.other = *b;
    return point;
  }
  if (const auto two = two_pins(text)) return two;
  for (const auto& [at, length] : pair_cuts(text)) {
    const auto a = tip(text.substr(0, at));
    if (!a) continue;
    const auto b = tip(text.substr(at + length));
    if (!b) continue;
    if (a->pin == b->pin && a->net == b->net) {
      near_ = usage(fmt::format("'{}' names one point twice", text), "a pair has two tips: J3.1-J4.2");
      continue;
    }
    point.pin = a->pin;
    point.net = a->net;
    point.other = b->pin;
    point.other_net = b->net;
    return point;
  }
  return std::nullopt;
}

/// "Q3 B-E", "J3 1-2": a part and two of its pins.
std::optional<Point> PointFinder::two_pins(std::string_view text) {
  const auto pieces = words(text);
  if (pieces.size() != 2) return std::nullopt;
  const std::size_t dash = pieces[1].find('-');
  if (dash == std::string_view::npos) return std::nullopt;
  const auto part_id = part(pieces[0]);
  if (!part_id) return std::nullopt;
  const auto a = pin_of(*part_id, pieces[1].substr(0, dash)), b = pin_of(*part_id, pieces[1].substr(dash + 1));
  if (!a || !b || *a == *b) return std::nullopt;
  Point point;
  point.at = Point::At::pair;
  point.pin = *a;
  point.other = *b;
  return point;
}

std::optional<Point> PointFinder::sided(std::string_view text) {
  const auto cut = cut_side(text);
  if (!cut) return std::nullopt;
  const auto pin = leg(cut->first);
  if (!pin) {
    if (part(cut->first)) near_ = usage(fmt::format("which pin of {}? a {} belongs to a pin", cut->first, name_of(cut->second)), fmt::format("type {}.1 {}", cut->first, name_of(cut->second)));
    return std::nullopt;
  }
  Point point = leg_point(*pin);
  point.side = cut->second;
  if (point.side == Side::pad) point.net = machine_.pin(*pin).net;
  return point;
}

/// "net A5", "part A5", "function sound", "A5 net".
std::optional<Point> PointFinder::named_kind(std::string_view text) {
  const auto pieces = words(text);
  if (pieces.size() < 2) return std::nullopt;
  const std::string_view behind = trim(text.substr(pieces[0].size()));
  const std::string_view before = trim(text.substr(0, text.size() - pieces.back().size()));
  const auto is = [](std::string_view word, std::string_view known) { return same_text(word, known); };
  if (is(pieces[0], "net") || is(pieces[0], "signal") || is(pieces[0], "line") || is(pieces[0], "rail"))
    if (const auto found = rail(behind)) return net_point(*found);
  if (is(pieces.back(), "net") || is(pieces.back(), "signal") || is(pieces.back(), "line") || is(pieces.back(), "rail"))
    if (const auto found = rail(before)) return net_point(*found);
  if (is(pieces[0], "part") || is(pieces[0], "chip"))
    if (const auto found = part(behind)) return part_point(*found);
  if (is(pieces[0], "function")) return function(behind);
  return std::nullopt;
}

std::vector<Point> PointFinder::plain(std::string_view text) {
  std::vector<Point> out;
  if (const auto found = part(text)) out.push_back(part_point(*found));
  if (const auto found = net(text)) out.push_back(net_point(*found));
  if (const auto found = function(text)) out.push_back(*found);
  return out;
}

std::vector<Point> PointFinder::find(std::string_view whole) {
  std::string_view text = trim(whole);
  while (!text.empty() && text.front() == '@') text = trim(text.substr(1));
  while (!text.empty() && (text.back() == ':' || text.back() == ',' || text.back() == '=')) text = trim(text.substr(0, text.size() - 1));
  if (text.empty()) return {};
  if (auto found = plain(text); !found.empty()) return found;
  if (const auto pin = leg(text)) return {leg_point(*pin)};
  if (const auto found = named_kind(text)) return {*found};
  if (const auto found = rail(text)) return {net_point(*found)};
  if (const auto found = sided(text)) return {*found};
  if (const auto found = pair(text)) return {*found};
  if (const std::string_view across = without_between(text); across.size() != text.size())
    if (const auto found = part(across)) return {part_point(*found)};
  for (const std::string_view word : {"machine", "board", "whole machine", "whole board", "the machine", "the board", "everything", "current", "total current", "supply current"})
    if (same_text(text, word)) return {Point{}};
  for (const std::string_view word : {"ram", "memory", "ram test", "memory test", "memory report", "all memory"})
    if (same_text(text, word)) return {Point{}};
  std::string joined(text);
  joined.erase(std::remove(joined.begin(), joined.end(), '-'), joined.end());
  if (joined.size() + 1 == text.size() && text.find(' ') == std::string_view::npos)
    if (const auto found = part(joined)) return {part_point(*found)};
  return {};
}

Error PointFinder::unknown(std::string_view text) {
  if (near_) {
    Error out = *near_;
    if (out.hint.empty()) out.hint = kHow;
    return out;
  }
  const auto pieces = words(text);
  const bool pin_alone = (pieces.size() == 2 && pin_word(pieces[0]) && all_digits(pieces[1])) || (pieces.size() == 1 && bare_pin(text) != text);
  if (pin_alone) return usage(fmt::format("'{}' of which part?", text), fmt::format("type the part too: U5.{}", pieces.size() == 2 ? pieces[1] : bare_pin(text)));
  std::vector<std::string> names;
  for (const board::Part& one : machine_.parts()) names.push_back(one.ref);
  const std::size_t mark = text.find_first_of(".( ");
  if (mark != std::string_view::npos && mark > 0)
    if (const auto near = did_you_mean(text.substr(0, mark), names)) return not_found(fmt::format("there is no part '{}'", text.substr(0, mark)), fmt::format("did you mean {}?", *near));
  for (const board::Net& one : machine_.nets()) names.push_back(one.name);
  for (const board::Function& one : machine_.functions()) names.push_back(one.id);
  const auto near = did_you_mean(text, names);
  return not_found(fmt::format("'{}' is no pin, part, net or function of this machine", text), near ? fmt::format("did you mean {}?", *near) : std::string(kHow));
}

Result<Point> PointFinder::one(std::string_view text) {
  near_.reset();
  const auto found = find(text);
  if (found.size() == 1) return found.front();
  if (found.empty()) return unknown(trim(text));
  std::vector<std::string> ways;
  for (const Point& point : found)
    ways.push_back(fmt::format("{} {}", point.at == Point::At::part ? "part" : point.at == Point::At::net ? "net" : "function", trim(text)));
  return usage(fmt::format("'{}' has {} meanings on this machine", trim(text), found.size()), "type " + join(ways, " or "));
}

Result<Point> parse_point(std::string_view text, const board::Machine& machine) {
  const auto clean = clean_line(text);
  if (!clean) return clean.error();
  if (clean->empty()) return usage("no point given", std::string(kHow));
  return PointFinder(machine).one(*clean);
}

}  // namespace halfsplit::observe
