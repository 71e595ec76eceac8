#include "knowledge/lexicon.h"

#include <algorithm>
#include <cctype>

#include "base/text.h"

namespace halfsplit::knowledge {
namespace {

bool inner_mark(char c) { return c == '-' || c == '+' || c == '\'' || c == '/' || c == '.'; }
bool word_character(char c) { return std::isalnum(static_cast<unsigned char>(c)) || static_cast<unsigned char>(c) >= 0x80; }

bool holds(const Words& list, const std::string& word) { return std::find(list.begin(), list.end(), word) != list.end(); }

bool has_digit(const std::string& word) {
  return std::any_of(word.begin(), word.end(), [](char c) { return std::isdigit(static_cast<unsigned char>(c)) != 0; });
}

/// One slip in a word of four to seven letters, two in a longer one; the first letter is seldom wrong.
std::size_t slips_allowed(const std::string& word) { return word.size() < 4 ? 0 : word.size() < 8 ? 1 : 2; }

/// Typographic apostrophes become plain ones.
std::string plain(std::string_view text) {
  static constexpr std::string_view kCurly = "\xE2\x80\x99";
  std::string out = lower(text);
  for (std::size_t at = out.find(kCurly); at != std::string::npos; at = out.find(kCurly, at)) out.replace(at, kCurly.size(), "'");
  return out;
}

}  // namespace

Words plain_words(std::string_view text) {
  Words out;
  std::string word;
  const std::string line = plain(text);
  for (std::size_t i = 0; i <= line.size(); ++i) {
    const char c = i < line.size() ? line[i] : ' ';
    const bool signs = (c == '+' || c == '-') && word.empty() && i + 1 < line.size() && std::isdigit(static_cast<unsigned char>(line[i + 1]));
    const bool inside = inner_mark(c) && !word.empty() && i + 1 < line.size() && word_character(line[i + 1]);
    if (word_character(c) || signs || inside) word += c;
    else if (!word.empty()) out.push_back(std::move(word)), word.clear();
  }
  return out;
}

Words Lexicon::words_in(std::string_view text) const {
  Words out;
  for (std::string& word : plain_words(text)) {
    const auto& all = filler_->contractions;
    const auto it = std::find_if(all.begin(), all.end(), [&](const Contraction& each) { return each.shortened == word; });
    if (it == all.end()) out.push_back(std::move(word));
    else for (std::string& full : plain_words(it->full)) out.push_back(std::move(full));
  }
  return out;
}

Lexicon::Lexicon(const Entries& entries) : filler_(&*entries.filler) {
  const auto know = [&](const Words& words) {
    for (const std::string& word : words) ++known_[word];
  };
  for (const Symptom& symptom : entries.symptoms)
    for (const std::string& phrase : symptom.phrases) phrases_.push_back({words_in(phrase), &symptom});
  for (const Subject& subject : entries.subjects)
    for (const std::string& word : subject.words) terms_.push_back({words_in(word), &subject, nullptr});
  for (const State& state : entries.states)
    for (const std::string& word : state.words) terms_.push_back({words_in(word), nullptr, &state});
  for (const Phrase& phrase : phrases_) know(phrase.words);
  for (const Term& term : terms_) know(term.words);
  for (const Words* list : {&filler_->words, &filler_->negations, &filler_->breaks, &filler_->conditions})
    for (const std::string& entry : *list) know(words_in(entry));
  const auto longer = [](const auto& a, const auto& b) { return a.words.size() > b.words.size(); };
  std::stable_sort(phrases_.begin(), phrases_.end(), longer);
  std::stable_sort(terms_.begin(), terms_.end(), longer);
}

bool Lexicon::is_filler(const std::string& word) const { return holds(filler_->words, word); }
bool Lexicon::is_negation(const std::string& word) const { return holds(filler_->negations, word); }

bool Lexicon::says_something(const Words& words) const {
  return std::any_of(words.begin(), words.end(), [&](const std::string& word) { return !is_filler(word) && !is_negation(word); });
}

/// Break words, but for those inside a phrase ("comes and goes").
std::vector<bool> Lexicon::breaks_in(const Words& words) const {
  std::vector<bool> out;
  for (const std::string& word : words) out.push_back(holds(filler_->breaks, word));
  const auto spare = [&](const Words& phrase) {
    const bool has_break = std::any_of(phrase.begin(), phrase.end(), [&](const std::string& word) { return holds(filler_->breaks, word); });
    const auto found = has_break ? find(phrase, words) : std::nullopt;
    for (std::size_t i = 0; found && i < found->length; ++i) out[found->first + i] = false;
  };
  for (const Phrase& phrase : phrases_) spare(phrase.words);
  for (const Term& term : terms_) spare(term.words);
  return out;
}

std::vector<Piece> Lexicon::pieces(std::string_view text, const Words& also) const {
  const std::vector<std::string_view> typed = halfsplit::words(text);
  Words all;
  std::vector<std::size_t> from;  // first of `all` that each typed word gave
  for (const std::string_view part : typed) {
    from.push_back(all.size());
    for (const std::string& word : words_in(part)) all.push_back(corrected(word, also));
  }
  from.push_back(all.size());
  const std::vector<bool> breaks = breaks_in(all);
  std::vector<Piece> cut(1);
  for (std::size_t i = 0; i < typed.size(); ++i) {
    const bool is_break = from[i + 1] == from[i] + 1 && breaks[from[i]];
    if (is_break) {
      cut.emplace_back();
      continue;
    }
    cut.back().typed += (cut.back().typed.empty() ? "" : " ") + std::string(typed[i]);
    for (std::size_t k = from[i]; k < from[i + 1]; ++k) cut.back().words.push_back(all[k]);
    constexpr std::string_view kEnds = ",;.!?";
    if (kEnds.find(typed[i].back()) != std::string_view::npos) {
      while (!cut.back().typed.empty() && kEnds.find(cut.back().typed.back()) != std::string_view::npos) cut.back().typed.pop_back();
      cut.emplace_back();
    }
  }
  std::erase_if(cut, [&](const Piece& piece) { return !says_something(piece.words); });
  if (cut.empty() && !typed.empty()) cut.push_back({std::string(trim(text)), all});
  return cut;
}

std::size_t Lexicon::condition_begin(const Words& words, std::size_t from) const {
  std::size_t begin = words.size();
  for (const std::string& condition : filler_->conditions) {
    const Words rest(words.begin() + static_cast<std::ptrdiff_t>(std::min(from, words.size())), words.end());
    if (const auto found = find(plain_words(condition), rest); found && from + found->first > 0) begin = std::min(begin, from + found->first);
  }
  return begin;
}

std::string Lexicon::corrected(const std::string& word, const Words& also) const {
  if (known_.contains(word) || holds(also, word) || has_digit(word)) return word;
  const std::size_t allowed = slips_allowed(word);
  std::string best = word;
  std::size_t best_distance = allowed + 1;
  int best_use = 0;
  const auto consider = [&](const std::string& candidate, int use) {
    if (candidate.front() != word.front() || candidate.size() + allowed < word.size() || word.size() + allowed < candidate.size()) return;
    const std::size_t distance = edit_distance(word, candidate);
    if (distance > allowed || distance > best_distance || (distance == best_distance && use <= best_use)) return;
    best = candidate;
    best_distance = distance;
    best_use = use;
  };
  if (allowed == 0) return word;
  for (const auto& [candidate, use] : known_) consider(candidate, use);
  for (const std::string& candidate : also) consider(candidate, 1);
  return best;
}

std::optional<Lexicon::Found> Lexicon::find(const Words& phrase, const Words& words) const {
  for (std::size_t first = 0; first < words.size(); ++first) {
    std::size_t at = first, matched = 0;
    while (matched < phrase.size() && at < words.size()) {
      if (words[at] == phrase[matched]) ++matched;
      else if (matched == 0 || !is_filler(words[at])) break;
      ++at;
    }
    if (matched == phrase.size()) return Found{first, at - first};
  }
  return std::nullopt;
}

}  // namespace halfsplit::knowledge
