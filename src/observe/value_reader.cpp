#include "observe/value_reader.h"

#include <fmt/core.h>

#include <algorithm>
#include <array>

#include "base/text.h"
#include "observe/tail.h"

namespace halfsplit::observe {
namespace {

constexpr std::array<std::string_view, 13> kFillers = {"is", "has", "gives", "reads", "was", "=", ":", "measures", "measured", "shows", "reading", "seems", "now"};

bool filler_at(const Typed& typed, std::size_t i) {
  return std::any_of(kFillers.begin(), kFillers.end(), [&](std::string_view word) { return typed.is(i, word); });
}

/// One word that starts like a value, for the error text.
Error not_a_value(const Typed& typed, std::size_t i, Where where) {
  const std::string text = typed.slice(i, typed.size());
  if (typed.is(i, "not") || typed.is(i, "no") || typed.is(i, "isn't"))
    return usage(fmt::format("'{}' says what it isn't", text), fmt::format("type what it is: {}", words_for(where)));
  std::string hint = fmt::format("for {}: {}", name_of_where(where), words_for(where));
  if (const auto near = did_you_mean(typed.at(i)->text, spelling_words())) hint = fmt::format("did you mean '{}'? {}", *near, hint);
  return usage(fmt::format("'{}' is not a value that I know", text), hint);
}

using Form = Result<std::optional<ParsedValue>>;

Form first_form(const Typed& typed, std::size_t& i, const ValueContext& context) {
  if (Form form = read_wanted_got(typed, i); !form || form.value()) return form;
  if (Form form = read_bits(typed, i); !form || form.value()) return form;
  if (Form form = read_short(typed, i); !form || form.value()) return form;
  if (Form form = read_word(typed, i, context); !form || form.value()) return form;
  if (Form form = read_comparison(typed, i, context); !form || form.value()) return form;
  return read_number_value(typed, i, context);
}

}  // namespace

Result<ParsedValue> read_value(const Typed& typed, const ValueContext& context) {
  std::size_t i = 0;
  while (filler_at(typed, i)) ++i;
  if (i >= typed.size()) return usage("no value given", fmt::format("for {}: {}", name_of_where(context.where), words_for(context.where)));
  const std::size_t start = i;
  Form form = first_form(typed, i, context);
  if (!form) return form.error();
  if (!form.value()) return not_a_value(typed, start, context.where);
  ParsedValue out = std::move(*form.value());
  if (Status tail = read_tail(typed, i, out, describe(out.value)); !tail) return tail.error();
  return out;
}

Result<ParsedValue> parse_value(std::string_view text, const board::Machine* machine) {
  auto typed = Typed::read(text);
  if (!typed) return typed.error();
  return read_value(*typed, ValueContext{machine, kAnywhere});
}

}  // namespace halfsplit::observe
