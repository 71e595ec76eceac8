#include "parts/part_number.h"

#include <algorithm>

#include "base/text.h"

namespace halfsplit::parts {

namespace {

bool digit(char c) { return c >= '0' && c <= '9'; }
bool letter(char c) { return c >= 'A' && c <= 'Z'; }

std::size_t digits_in(std::string_view text) { return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), digit)); }

/// The token as printed and without a maker's letters in front, where a number follows.
std::vector<std::string_view> heads(std::string_view token, const MatchTable& table) {
  std::vector<std::string_view> out{token};
  for (const std::string& maker : table.makers) {
    if (!starts_with(token, maker) || token.size() <= maker.size()) continue;
    const std::string_view rest = token.substr(maker.size());
    if (digit(rest[0]) || rest[0] == 'Z') out.push_back(rest);
  }
  return out;
}

struct Letters { std::string_view letters; const Family* family; };

/// The longest family letters at the head of `rest` that a number follows.
std::optional<Letters> family_at(std::string_view rest, const std::vector<Family>& families) {
  std::optional<Letters> best;
  for (const Family& family : families)
    for (const std::string& letters : family.letters)
      if (starts_with(rest, letters) && rest.size() > letters.size() && (digit(rest[letters.size()]) || rest[letters.size()] == 'O') &&
          (!best || letters.size() > best->letters.size()))
        best = Letters{letters, &family};
  return best;
}

/// Digits at the head; an O among them is a zero, an I a one.
std::string leading_number(std::string_view text) {
  std::string out;
  for (std::size_t i = 0; i < text.size() && out.size() < 5; ++i) {
    const char c = text[i] == 'O' ? '0' : text[i] == 'I' ? '1' : text[i];
    const bool typed = c != text[i];
    if (!digit(c) || (typed && i > 0 && !(i + 1 < text.size() && digit(text[i + 1])) && out.size() >= 2)) break;
    out += c;
  }
  return out;
}

std::optional<LogicNumber> logic_behind(std::string_view rest, bool bare, const std::vector<Family>& families) {
  const auto found = family_at(rest, families);
  if (!found || (bare && found->letters.empty())) return std::nullopt;
  const std::string number = leading_number(rest.substr(found->letters.size()));
  const bool long_enough = number.size() >= 2 && number.size() <= 4;
  if (!long_enough) return std::nullopt;
  const std::string_view tail = rest.substr(found->letters.size() + number.size());
  if (!tail.empty() && digit(tail[0])) return std::nullopt;
  return LogicNumber{found->family->id, std::string(found->letters), number, bare};
}

/// Text with letters taken off its end one by one; a group of digits behind a letter goes as one, while three digits are left.
std::vector<std::string_view> cuts(std::string_view head) {
  std::vector<std::string_view> out{head};
  while (head.size() > 2) {
    if (!digit(head.back())) {
      head.remove_suffix(1);
    } else {
      std::size_t start = head.size();
      while (start > 0 && digit(head[start - 1])) --start;
      if (start == 0 || digits_in(head.substr(0, start)) < 3) break;
      head = head.substr(0, start);
    }
    if (digits_in(head) < 2) break;
    out.push_back(head);
  }
  return out;
}

/// "65C02" -> "6502", "68B50" -> "6850": one or two letters between digits left out.
std::optional<std::string> without_inner_letters(std::string_view text) {
  std::size_t first = 0;
  while (first < text.size() && digit(text[first])) ++first;
  std::size_t last = first;
  while (last < text.size() && letter(text[last])) ++last;
  if (first < 2 || first > 3 || last - first < 1 || last - first > 2 || last >= text.size() || !digit(text[last])) return std::nullopt;
  return std::string(text.substr(0, first)) + std::string(text.substr(last));
}

}  // namespace

std::vector<std::string> value_tokens(std::string_view value) {
  std::vector<std::string> out;
  std::string word;
  for (const char c : upper(value)) {
    const bool gap = c == ' ' || c == '\t' || c == '_' || c == '/' || c == ',' || c == ';' || c == '(' || c == ')' || c == '[' || c == ']' || c == '"';
    if (!gap) word += c;
    if (gap && !word.empty()) out.push_back(std::move(word)), word.clear();
  }
  if (!word.empty()) out.push_back(std::move(word));
  return out;
}

std::optional<LogicNumber> logic_number(std::string_view token, const std::vector<Family>& families, const MatchTable& table) {
  for (const std::string_view head : heads(token, table))
    for (const std::string_view series : {"74", "54", "84", "64"}) {
      if (!starts_with(head, series)) continue;
      auto found = logic_behind(head.substr(2), false, families);
      if (found && (series == "74" || !found->letters.empty())) return found;  // a plain 8464 is a memory
    }
  return logic_behind(token, true, families);
}

std::vector<NumberCandidate> number_candidates(std::string_view token, const MatchTable& table) {
  std::vector<NumberCandidate> out, last;
  const auto add = [](std::vector<NumberCandidate>& list, std::string text, bool removed) {
    if (text.size() < 3 || digits_in(text) < 2) return;
    for (const NumberCandidate& each : list)
      if (each.text == text) return;
    list.push_back({std::move(text), removed});
  };
  std::vector<std::string_view> versions{token};
  for (std::size_t dash = token.find_last_of("-+."); dash != std::string_view::npos && dash > 0; dash = token.find_last_of("-+.", dash - 1)) versions.push_back(token.substr(0, dash));
  for (const std::string_view version : versions)
    for (const std::string_view head : heads(version, table))
      for (const std::string_view cut : cuts(head)) {
        add(out, std::string(cut), false);
        if (cut.size() == 5 && starts_with(cut, "14") && digits_in(cut) == 5) add(last, std::string(cut.substr(1)), false);  // MC14050 is a 4050
        if (auto plain = without_inner_letters(cut)) add(last, std::move(*plain), true);
      }
  for (NumberCandidate& each : last) add(out, std::move(each.text), each.letter_removed);
  return out;
}

bool is_cmos_number(std::string_view token) {
  for (std::size_t i = 2; i + 1 < token.size(); ++i) {
    if (token[i] != 'C' || !digit(token[i - 2])) continue;
    const bool behind_digits = digit(token[i - 1]) || ((token[i - 1] == 'H' || token[i - 1] == 'S') && i >= 3 && digit(token[i - 3]));
    if (behind_digits && digit(token[i + 1])) return true;
  }
  return false;
}

}  // namespace halfsplit::parts
