#include "app/cases.h"

#include <fmt/core.h>

#include <algorithm>

#include "job/case.h"

namespace halfsplit::app {
namespace {

using job::LineKind;
using observe::Observation;
using observe::Word;

const char* state_word(Word word) {
  switch (word) {
    case Word::right: return "works";
    case Word::dead: return "dead";
    case Word::wrong: return "wrong";
    case Word::weak: return "weak";
    default: return "not right";
  }
}

bool same_meaning(const Observation& a, const Observation& b) {
  return a.point == b.point && a.value.word == b.value.word && a.share == b.share;
}

class CaseMaker {
 public:
  CaseMaker(const Sitting& sitting, Wording wording) : sitting_(sitting), wording_(wording) {
    of_line_.resize(sitting.job().lines.size());
    for (std::size_t i = 0; i < sitting.history().events().size(); ++i)
      if (const auto* seen = std::get_if<Observation>(&sitting.history().events()[i])) of_line_[sitting.line_number(i) - 1].push_back(seen);
  }

  job::Case make() {
    const job::Job& job = sitting_.job();
    job::Case out;
    out.machine = job.machine;
    out.revision = job.revision;
    if (wording_ == Wording::kept) out.title = job.title;
    for (std::size_t i = 0; i < job.lines.size(); ++i)
      for (const std::string& text : texts_of(i))
        if (auto line = job::make_line(job.lines[i].kind, text)) out.steps.push_back({{}, std::move(line).value()});
    return out;
  }

 private:
  std::vector<std::string> texts_of(std::size_t index) const {
    const job::Line& line = sitting_.job().lines[index];
    const bool bare = wording_ == Wording::left_out;
    switch (line.kind) {
      case LineKind::symptom: return symptoms(line, of_line_[index]);
      case LineKind::leave:
      case LineKind::cannot:
      case LineKind::note: return bare ? std::vector<std::string>{} : std::vector<std::string>{line.typed};
      case LineKind::close: return {bare ? without_remark(line.typed) : line.typed};
      case LineKind::read:
        if (bare && std::any_of(of_line_[index].begin(), of_line_[index].end(), [](const Observation* seen) { return !seen->value.note.empty(); })) return {};
        return {line.typed};
      default: return {line.typed};
    }
  }

  static std::string without_remark(const std::string& typed) {
    auto ending = job::parse_ending(typed);
    if (!ending) return typed;
    ending->note.clear();
    return job::write_ending(*ending);
  }

  /// As typed where that says the same again, else one line a function.
  std::vector<std::string> symptoms(const job::Line& line, const std::vector<const Observation*>& seen) const {
    if (wording_ == Wording::kept && means(line.typed, {}, seen)) return {line.typed};
    std::vector<std::string> out;
    for (const Observation* one : seen) {
      if (one->point.at != observe::Point::At::function || !one->value.word) continue;
      if (const std::string text = told(line, *one); !text.empty()) out.push_back(text);
    }
    return out;
  }
  /// One function's state so that it is understood as it was: by its id, its title, or `--about`; empty where no words do.
  std::string told(const job::Line& line, const Observation& seen) const {
    const board::Function& function = sitting_.machine().function(seen.point.function);
    if (wording_ == Wording::kept && means(line.typed, function.id, {&seen})) return fmt::format("--about {} {}", function.id, line.typed);
    std::string words = state_word(*seen.value.word), id = function.id;
    if (seen.share.trials > 1) words += fmt::format(" {} of {} times", seen.share.seen, seen.share.trials);
    std::replace(id.begin(), id.end(), '-', ' ');
    for (const std::string& text : {id + " " + words, function.title + " " + words})
      if (means(text, {}, {&seen})) return text;
    return means(words, function.id, {&seen}) ? fmt::format("--about {} {}", function.id, words) : std::string();
  }
  bool means(const std::string& words, const std::string& about, const std::vector<const Observation*>& wanted) const {
    const auto understood = sitting_.understand(LineKind::symptom, words, {}, about);
    if (!understood || understood->events.size() != wanted.size()) return false;
    for (std::size_t i = 0; i < wanted.size(); ++i)
      if (const auto* got = std::get_if<Observation>(&understood->events[i]); !got || !same_meaning(*got, *wanted[i])) return false;
    return true;
  }

  const Sitting& sitting_;
  const Wording wording_;
  std::vector<std::vector<const Observation*>> of_line_;
};

}  // namespace

std::string case_text(const Sitting& sitting, Wording wording) { return job::write_case(CaseMaker(sitting, wording).make()); }

}  // namespace halfsplit::app
