// Values in words: "stuck low", "looks fine", "tested bad", "no change"; a number behind a level word wins ("low 0.2V").
#include <fmt/core.h>

#include <algorithm>
#include <array>

#include "base/text.h"
#include "observe/quantity.h"
#include "observe/value_reader.h"

namespace halfsplit::observe {
namespace {

using Form = Result<std::optional<ParsedValue>>;

Word verdict_word(Kind kind, bool good) {
  switch (kind) {
    case Kind::dump:
    case Kind::content: return good ? Word::right : Word::wrong;
    case Kind::touch: return good ? Word::normal : Word::hot;
    default: return good ? Word::good : Word::bad;
  }
}

/// A token that ends the wording of an opening: what follows are circumstances.
bool wording_ends(const Typed& typed, std::size_t i) { return typed.is(i, "after") || typed.is(i, "when") || typed.is(i, ",") || typed.is(i, ";"); }

/// "looks crusty", "tested ok", "piggyback: picture changes": the opening says the kind, the verdict may come a few words later.
Form read_opening(const Typed& typed, std::size_t& i, const Opening& opening) {
  std::size_t first = i + opening.tokens;
  while (typed.is(first, ":") || typed.is(first, "=") || typed.is(first, "as")) ++first;
  ParsedValue out;
  out.kind = opening.kind;
  for (std::size_t j = first; j < typed.size() && !wording_ends(typed, j); ++j) {
    const auto phrase = longest_phrase(typed, j);
    const auto same = phrase ? std::find_if(phrase->meanings.begin(), phrase->meanings.end(), [&](const Meaning& m) { return m.kind == opening.kind; }) : std::vector<Meaning>::const_iterator{};
    std::size_t used = 0;
    if (phrase && same != phrase->meanings.end()) {
      out.value.word = same->word;
      used = phrase->tokens;
    } else if (const auto verdict = verdict_at(typed, j)) {
      out.value.word = verdict_word(opening.kind, verdict->good);
      used = verdict->tokens;
    }
    if (used == 0) continue;
    out.value.note = typed.slice(first, j + used);
    i = j + used;
    return std::optional<ParsedValue>{out};
  }
  return std::optional<ParsedValue>{};
}

/// The meaning for this kind of point; else the usual one, which will be refused there with a word on where it belongs.
const Meaning& fitting(const FoundPhrase& phrase, Where where) {
  for (const Meaning& meaning : phrase.meanings)
    if ((meaning.where & where) != 0) return meaning;
  return phrase.meanings.front();
}

/// Where a number with a unit may follow a word: "pulsing at 3.58MHz", "high (4.9V)", "low 0.2V".
std::size_t behind_word(const Typed& typed, std::size_t i) {
  while (typed.is(i, "at") || typed.is(i, "(") || typed.is(i, ",") || typed.is(i, "with") || typed.is(i, "=")) ++i;
  return i;
}

/// "no colour": the function is there, but lacks something; "no picture" and the like are phrases of their own.
std::optional<ParsedValue> read_lack(const Typed& typed, std::size_t& i, const ValueContext& context) {
  const Token* lacked = typed.at(i + 1);
  if (context.where != kFunction || !typed.is(i, "no") || lacked == nullptr || lacked->kind != Token::Kind::word) return std::nullopt;
  if (const auto phrase = longest_phrase(typed, i); phrase && phrase->tokens > 1) return std::nullopt;
  ParsedValue out;
  out.kind = Kind::function;
  out.value.word = Word::wrong;
  out.value.note = typed.slice(i, i + 2);
  i += 2;
  return out;
}

/// "OL diode", "OL (diode range)".
void take_diode_range(const Typed& typed, std::size_t& i, ParsedValue& out) {
  std::size_t j = typed.is(i, "(") ? i + 1 : i;
  if (typed.is(j, "in") || typed.is(j, "on")) ++j;
  if (!typed.is(j, "diode")) return;
  ++j;
  if (typed.is(j, "range") || typed.is(j, "test") || typed.is(j, "mode")) ++j;
  if (typed.is(j, ")")) ++j;
  out.kind = Kind::diode;
  i = j;
}

Result<bool> number_follows(const Typed& typed, std::size_t i) {
  const auto quantity = read_quantity(typed, behind_word(typed, i));
  if (!quantity) return quantity.error();
  return quantity.value() && quantity.value()->unit != Unit::none;
}

}  // namespace

Form read_word(const Typed& typed, std::size_t& i, const ValueContext& context) {
  if (const auto opening = opening_at(typed, i)) {
    std::size_t j = i;
    if (Form form = read_opening(typed, j, *opening); !form || form.value()) {
      i = j;
      return form;
    }
  }
  if (auto lacking = read_lack(typed, i, context)) return lacking;
  const auto phrase = longest_phrase(typed, i);
  if (!phrase || (phrase->text == "no" && context.where != kFunction)) return std::optional<ParsedValue>{};
  const Meaning& meaning = fitting(*phrase, context.where);
  const bool level = phrase->meanings.front().kind == Kind::probe;
  if (level && context.where != kFunction) {
    const auto number = number_follows(typed, i + phrase->tokens);
    if (!number) return number.error();
    if (number.value()) {
      std::size_t j = behind_word(typed, i + phrase->tokens);
      Form form = read_number_value(typed, j, context);
      if (!form || !form.value()) return form;
      std::string& note = form.value()->value.note;
      note = std::string(phrase->text) + (note.empty() ? "" : ", " + note);
      i = j;
      return form;
    }
  }
  ParsedValue out;
  out.kind = meaning.kind;
  out.value.word = meaning.word;
  if (phrase->keep && meaning.kind != Kind::probe) out.value.note = phrase->text;
  i += phrase->tokens;
  if (meaning.word == Word::overload) take_diode_range(typed, i, out);
  return std::optional<ParsedValue>{out};
}

}  // namespace halfsplit::observe
