#include "observe/typed.h"

#include <array>
#include <cctype>

#include "base/text.h"
#include "observe/number_reader.h"

namespace halfsplit::observe {
namespace {

bool word_character(char c) { return std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '_' || static_cast<unsigned char>(c) >= 0x80; }
/// Joins two halves of a word when a word character follows: tri-state, O.L, live/neutral, doesn't.
bool joins_words(char c) { return c == '-' || c == '.' || c == '/' || c == '\''; }

constexpr std::array<std::string_view, 8> kMarks = {"+/-", "+-", "...", "..", "->", "=>", "<=", ">="};

/// A minus or plus that belongs to the number behind it: at the front, after a blank or an opening mark.
bool sign_here(std::string_view text, std::size_t i) {
  if (text[i] != '-' && text[i] != '+') return true;
  if (i == 0) return true;
  return std::string_view(" (,=:~<>.-").find(text[i - 1]) != std::string_view::npos;
}

std::size_t word_length(std::string_view text, std::size_t i) {
  std::size_t n = 0;
  while (i + n < text.size()) {
    const bool joint = n > 0 && joins_words(text[i + n]) && i + n + 1 < text.size() && word_character(text[i + n + 1]);
    if (!word_character(text[i + n]) && !joint) break;
    ++n;
  }
  return n;
}

std::size_t mark_length(std::string_view text, std::size_t i) {
  for (const std::string_view mark : kMarks)
    if (starts_with(text.substr(i), mark)) return mark.size();
  return 1;
}

Token token_at(std::string_view text, std::size_t i) {
  Token token;
  token.begin = i;
  const bool mark_of_two = mark_length(text, i) > 1;
  if (!mark_of_two && sign_here(text, i)) {
    if (ReadNumber read = read_number(text.substr(i)); read.length > 0) {
      token.kind = Token::Kind::number;
      token.amount = std::move(read.amount);
      token.end = i + read.length;
      token.text = text.substr(i, read.length);
      return token;
    }
  }
  const std::size_t n = word_length(text, i);
  token.kind = n > 0 ? Token::Kind::word : Token::Kind::mark;
  token.end = i + (n > 0 ? n : mark_length(text, i));
  token.text = text.substr(i, token.end - i);
  token.low = lower(token.text);
  if (token.kind == Token::Kind::word)
    for (char& c : token.low)
      if (c == '-' || c == '_') c = ' ';
  return token;
}

/// After a blank a single letter is a unit only where it can't be a level ("pin 8 P") and no word follows ("5 a bit low").
bool lonely_letter(const Token& word, const Token* next) {
  if (word.text.size() != 1) return false;
  if (std::string_view("pPnuflLhHzZm").find(word.text[0]) != std::string_view::npos) return true;
  return std::islower(static_cast<unsigned char>(word.text[0])) != 0 && next != nullptr && next->kind == Token::Kind::word;
}

/// The number of a pin has no unit.
bool pin_number(const std::vector<Token>& before) {
  if (before.size() < 2) return false;
  const Token& word = before[before.size() - 2];
  return word.is("pin") || word.is("pins") || word.is("leg") || word.is("contact") || word.is("terminal");
}

/// "4.31" "V" -> one number; "3.5K" "ohms", "7" "mega" "ohm" as well.
void join_units(std::vector<Token>& tokens) {
  std::vector<Token> out;
  for (std::size_t i = 0; i < tokens.size(); ++i) {
    Token& token = tokens[i];
    const Token* next = i + 1 < tokens.size() ? &tokens[i + 1] : nullptr;
    const bool may_be_unit = token.is("%") || (token.kind == Token::Kind::word && !lonely_letter(token, next));
    if (!out.empty() && out.back().kind == Token::Kind::number && may_be_unit && !pin_number(out) && give_unit(out.back().amount, token.text)) {
      out.back().end = token.end;
      continue;
    }
    out.push_back(std::move(token));
  }
  tokens = std::move(out);
}

}  // namespace

Result<Typed> Typed::read(std::string_view line) {
  auto clean = clean_line(line);
  if (!clean) return clean.error();
  return cut(std::move(clean).value());
}

Typed Typed::cut(std::string clean) {
  Typed out;
  out.text_ = std::move(clean);
  for (std::size_t i = 0; i < out.text_.size();) {
    const bool full_stop = out.text_[i] == '.' && !out.tokens_.empty() && out.tokens_.back().kind == Token::Kind::word && out.tokens_.back().end == i;
    if (out.text_[i] == ' ' || (full_stop && (i + 1 == out.text_.size() || out.text_[i + 1] == ' '))) {  // "approx. 3V"
      ++i;
      continue;
    }
    out.tokens_.push_back(token_at(out.text_, i));
    i = out.tokens_.back().end;
  }
  join_units(out.tokens_);
  for (Token& token : out.tokens_) token.text = out.text_.substr(token.begin, token.end - token.begin);
  return out;
}

std::string Typed::slice(std::size_t i, std::size_t j) const {
  if (i >= tokens_.size() || j <= i) return {};
  const std::size_t end = j < tokens_.size() ? tokens_[j].begin : text_.size();
  return std::string(trim(std::string_view(text_).substr(tokens_[i].begin, end - tokens_[i].begin)));
}

}  // namespace halfsplit::observe
