#include "board/amendment.h"

#include <fmt/core.h>

#include <algorithm>
#include <optional>

#include "base/text.h"

namespace halfsplit::board {

namespace {

using Kind = Amendment::Kind;
using Origin = Amendment::Origin;

constexpr std::size_t kAny = 1000;

struct Rule {
  Kind kind;
  const char* word;
  std::size_t least, most;  ///< words behind the kind
  bool rest_is_one;         ///< from word `most` on, all is one word
  const char* example;
};
constexpr Rule kRules[] = {
    {Kind::jumper, "jumper", 2, 2, false, "jumper JP1 closed, jumper JP1 open, jumper JP1 1-2"},
    {Kind::missing, "missing", 1, kAny, false, "missing U8"},
    {Kind::net, "net", 2, 2, true, "net U7.4 = PH2"},
    {Kind::join, "join", 2, kAny, false, "join U1.14 U2.11, or join U1.14 U2.11 likely 0.97"},
    {Kind::wire, "wire", 2, 2, false, "wire U3.4 U7.2"},
    {Kind::cut, "cut", 1, 2, false, "cut U3.4, or cut U3.4 U7.2"},
    {Kind::lift, "lift", 1, kAny, false, "lift Q3.e"},
    {Kind::add, "add", 3, kAny, false, "add R90 470R Q3.e U9.2"},
    {Kind::value, "value", 2, 2, true, "value R12 1k"},
    {Kind::fit, "fit", 2, 2, true, "fit U9 74hct245"},
};

/// Said behind the part: "C8 missing", "Q3.e lifted".
struct Said { const char* word; Kind kind; };
constexpr Said kSaid[] = {{"missing", Kind::missing}, {"lifted", Kind::lift}, {"cut", Kind::cut}, {"closed", Kind::jumper}, {"open", Kind::jumper}};
struct OriginWord { const char* word; Origin origin; };
constexpr OriginWord kOrigins[] = {{"found", Origin::found}, {"ours", Origin::ours}, {"drawing", Origin::drawing_was_wrong}};

std::string_view without_comment(std::string_view line) {
  for (std::size_t at = line.find('#'); at != std::string_view::npos; at = line.find('#', at + 1))
    if (at == 0 || line[at - 1] == ' ' || line[at - 1] == '\t') return line.substr(0, at);
  return line;
}

/// Takes the first word off the front.
std::string_view take_word(std::string_view& text) {
  text = trim(text);
  const std::string_view word = text.substr(0, std::min(text.find_first_of(" \t"), text.size()));
  text = trim(text.substr(word.size()));
  return word;
}

const Rule* rule_of(std::string_view word) {
  const auto found = std::find_if(std::begin(kRules), std::end(kRules), [&](const Rule& rule) { return lower(word) == rule.word; });
  return found == std::end(kRules) ? nullptr : found;
}

Error usage_at(std::string message, const Place& place, std::string hint) {
  Error error = usage(std::move(message), std::move(hint));
  error.place = place;
  return error;
}

Error unknown_kind(std::string_view word, const Place& place) {
  std::vector<std::string> known;
  for (const Rule& rule : kRules) known.emplace_back(rule.word);
  const auto near = did_you_mean(word, known);
  return usage_at(fmt::format("{} is no amendment", in_quotes(word)), place, near ? fmt::format("did you mean {}?", *near) : "one of: " + join(known, ", "));
}

/// "U7.4 = PH2" and "U7.4=PH2" -> pin and net; the sign may be left out.
std::string without_equals(std::string_view text) {
  std::string out(text);
  const std::size_t at = out.find('=');
  if (at != std::string::npos && words(out.substr(0, at)).size() == 1) out[at] = ' ';
  return out;
}

std::vector<std::string> split_words(const Rule& rule, std::string_view rest) {
  const std::string text = rule.kind == Kind::net ? without_equals(rest) : std::string(rest);
  std::vector<std::string> out;
  for (std::string_view left = text; !trim(left).empty();) {
    if (rule.rest_is_one && out.size() + 1 == rule.most) { out.emplace_back(trim(left)); break; }
    out.emplace_back(take_word(left));
  }
  return out;
}

/// "C8 missing", "U9 74hc157": a part or a pin, then what is so of it.
std::optional<Amendment> as_said(std::string_view word, std::string_view rest, Amendment head) {
  const bool numbered = std::any_of(word.begin(), word.end(), [](char c) { return c >= '0' && c <= '9'; });
  if (!numbered || rest.empty()) return std::nullopt;
  head.kind = Kind::becomes;
  head.words = {std::string(word), std::string(rest)};
  for (const Said& said : kSaid) {
    if (lower(rest) != said.word) continue;
    head.kind = said.kind;
    if (said.kind != Kind::jumper) head.words.pop_back();
  }
  return head;
}

}  // namespace

const char* title_of(Origin origin) noexcept {
  switch (origin) {
    case Origin::found: return "found";
    case Origin::ours: return "ours";
    case Origin::drawing_was_wrong: break;
  }
  return "drawing was wrong";
}

std::string describe(const Amendment& amendment) {
  const std::vector<std::string>& words = amendment.words;
  const std::string all = join(words, ", ");
  switch (amendment.kind) {
    case Kind::jumper: return fmt::format("{} {}", words[0], words[1]);
    case Kind::missing: return all + " not fitted";
    case Kind::net: return fmt::format("{} on net {}", words[0], words[1]);
    case Kind::join: return join(words, ", ") + " on one net";
    case Kind::wire: return fmt::format("wire from {} to {}", words[0], words[1]);
    case Kind::cut: return words.size() == 2 ? fmt::format("track cut between {} and {}", words[0], words[1]) : fmt::format("track cut at {}", words[0]);
    case Kind::lift: return all + " lifted";
    case Kind::add: return fmt::format("{} added: {}", words[0], join({words.begin() + 1, words.end()}, " "));
    case Kind::value:
    case Kind::fit:
    case Kind::becomes: break;
  }
  return fmt::format("{} is {}", words[0], words[1]);
}

bool same_change(const Amendment& a, const Amendment& b) { return a.kind == b.kind && a.words == b.words; }

const char* name_of(Kind kind) noexcept {
  for (const Rule& rule : kRules)
    if (rule.kind == kind) return rule.word;
  return "";
}

Result<Amendment> parse_amendment(std::string_view line, const Place& place) {
  std::string_view rest = trim(without_comment(line));
  Amendment out;
  out.typed = std::string(rest);
  out.place = place;
  if (rest.empty()) return usage_at("an amendment is empty", place, "as in: missing U8");
  std::string_view word = take_word(rest);
  bool told = false;
  for (const OriginWord& origin : kOrigins) {
    if (told || lower(word) != origin.word) continue;
    out.origin = origin.origin;
    told = true;
    word = take_word(rest);
  }
  const Rule* rule = rule_of(word);
  if (!rule) {
    if (std::optional<Amendment> said = as_said(word, rest, out)) return *std::move(said);
    return unknown_kind(word, place);
  }
  if (!told && (rule->kind == Kind::net || rule->kind == Kind::join)) out.origin = Origin::drawing_was_wrong;
  out.kind = rule->kind;
  out.words = split_words(*rule, rest);
  if (out.words.size() >= rule->least && out.words.size() <= rule->most) return out;
  return usage_at(fmt::format("{} has too {} words", in_quotes(out.typed), out.words.size() < rule->least ? "few" : "many"), place, std::string("write: ") + rule->example);
}

Result<std::vector<Amendment>> parse_amendments(std::string_view text, const std::string& file) {
  Errors errors;
  std::vector<Amendment> out;
  std::uint32_t number = 0;
  for (std::string_view line : split(text, '\n')) {
    ++number;
    if (trim(without_comment(line)).empty()) continue;
    const auto column = static_cast<std::uint32_t>(line.find_first_not_of(" \t") + 1);
    Result<Amendment> amendment = parse_amendment(line, Place{file, number, column});
    if (amendment.ok()) {
      out.push_back(std::move(amendment).value());
    } else {
      Error error = amendment.error();
      error.code = ErrorCode::bad_input;
      errors.add(std::move(error));
    }
  }
  if (!errors.empty()) return errors.joined();
  return out;
}

}  // namespace halfsplit::board
