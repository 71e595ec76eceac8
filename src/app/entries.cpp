#include "app/entries.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "app/advice.h"
#include "app/caution_memory.h"
#include "app/checklists.h"
#include "app/chip_picture.h"
#include "app/choosing.h"
#include "app/outcome_words.h"
#include "app/safety.h"
#include "app/shifts.h"
#include "app/swapping.h"
#include "app/tools.h"
#include "app/tracing.h"
#include "app/verdicts.h"
#include "app/way_back.h"
#include "base/text.h"

namespace halfsplit::app {
namespace {

using job::LineKind;
using observe::Observation;

const char* word_for(LineKind kind) { return kind == LineKind::read ? "reading" : job::name_of(kind); }

std::vector<const Observation*> observations(const Understood& understood) {
  std::vector<const Observation*> out;
  for (const observe::Event& event : understood.events)
    if (const auto* seen = std::get_if<Observation>(&event); seen && !seen->on_good) out.push_back(seen);
  return out;
}

/// The value as read; a function's wording stays beside it where it says more.
std::string value_text(const Observation& seen, const board::Machine& machine) {
  if (seen.kind != observe::Kind::function || !seen.value.word) return observe::describe(seen.value, machine);
  if (seen.value.word == observe::Word::right) return "works";
  if (seen.value.word == observe::Word::bad) return "not right, \"" + seen.value.note + "\"";
  return observe::name_of(*seen.value.word);
}

/// Of a sweep the pins are told where it beeped, or where it should have; what it means on a sketch is told in words of its own.
bool told_elsewhere(const Observation& one, std::size_t together, report::MeaningLine::Verdict verdict, bool sketch) {
  if (one.kind != observe::Kind::continuity || verdict == report::MeaningLine::Verdict::different) return false;
  return sketch ? verdict == report::MeaningLine::Verdict::unknown : together > 1 && one.value.word == observe::Word::no_beep;
}

/// A figure within a sixth of the good one is as it should be.
report::MeaningLine::Verdict against_good(const observe::Value& value, const observe::Value& good) {
  using Verdict = report::MeaningLine::Verdict;
  if (value.word && good.word) return value.word == good.word ? Verdict::as_expected : Verdict::different;
  if (!value.is_number() || value.unit != good.unit) return Verdict::unknown;
  const double wanted = (good.from + good.to) / 2, margin = std::max(std::abs(wanted) / 6, value.unit == observe::Unit::volts ? 0.15 : 0.0);
  if (value.to < wanted - margin) return Verdict::low;
  return value.from > wanted + margin ? Verdict::high : Verdict::as_expected;
}

/// A comparison says something where both points should show the same.
void compare_with(report::MeaningLine& line, const Observation& one, Sitting& sitting, const fault::Outcome& here) {
  using How = observe::Relative::How;
  using Verdict = report::MeaningLine::Verdict;
  if (one.value.relative->other) {
    StepBudget budget(std::numeric_limits<std::uint64_t>::max());
    const fault::OutcomeTable there = sitting.model().predictor().outcomes({fault::Hypothesis()}, {{one.setup, *one.value.relative->other, one.kind, one.cycle}}, budget);
    const std::string expected = expectation(here);
    if (expected.empty() || expected != expectation(there.at(0, 0))) return;
  }
  const How how = one.value.relative->how;
  line.verdict = how == How::same ? Verdict::as_expected : how == How::weaker || how == How::half ? Verdict::low : how == How::different ? Verdict::different : Verdict::high;
  line.expected = one.value.relative->other ? "the same" : "the same as on a good machine";
}

}  // namespace

std::vector<report::MeaningLine> meanings(Sitting& sitting, const std::vector<const Observation*>& seen) {
  std::vector<fault::Query> queries;
  for (const Observation* one : seen) queries.push_back({one->setup, one->point, one->kind, one->cycle});
  StepBudget budget(std::numeric_limits<std::uint64_t>::max());
  const fault::OutcomeTable healthy = sitting.model().predictor().outcomes({fault::Hypothesis()}, queries, budget);
  std::vector<report::MeaningLine> out;
  for (std::size_t i = 0; i < seen.size(); ++i) {
    const Observation& one = *seen[i];
    if (told_elsewhere(one, seen.size(), compare(one.value, healthy.at(0, i)), is_sketch(sitting.machine()))) continue;
    report::MeaningLine line;
    const bool function = one.point.at == observe::Point::At::function;
    line.point = function ? sitting.machine().function(one.point.function).title : observe::describe(one.point, one.kind, sitting.machine());
    line.kind = observe::name_of(one.kind);
    line.value = value_text(one, sitting.machine());
    line.verdict = compare(one.value, healthy.at(0, i));
    line.expected = expectation(healthy.at(0, i));
    if (const auto good = sitting.good_at(queries[i]); good && !one.value.relative) {
      line.verdict = against_good(one.value, *good);
      line.expected = observe::describe(*good, sitting.machine()) + " as on a good machine";
    }
    if (one.value.relative && !one.value.word) compare_with(line, one, sitting, healthy.at(0, i));
    line.note = one.condition;
    if (one.share.trials > 1) line.note += fmt::format("{}{} of {} times", line.note.empty() ? "" : ", ", one.share.seen, one.share.trials);
    out.push_back(std::move(line));
  }
  return out;
}

namespace {

/// Symptoms that left the function open: what to type instead.
std::vector<std::string> questions(const Understood& understood, const board::Machine& machine) {
  constexpr std::size_t kMost = 8;
  std::vector<std::string> out;
  for (const auto& heard : understood.heard) {
    if (heard.ask.empty() || !heard.observations.empty()) continue;
    out.push_back("\"" + heard.wording + "\": of what? Say one of these:");
    for (std::size_t i = 0; i < std::min(heard.ask.size(), kMost); ++i) {
      const board::Function& function = machine.function(heard.ask[i]);
      out.push_back(fmt::format("  halfsplit symptom --about {} {}   ({})", function.id, heard.wording, function.title));
    }
    if (heard.ask.size() > kMost) out.push_back(fmt::format("  and {} more; halfsplit expect names all functions", heard.ask.size() - kMost));
  }
  return out;
}

std::vector<std::string> understood_lines(const Understood& understood, const board::Machine& machine) {
  std::vector<std::string> out;
  bool power_told = false;
  for (const observe::Event& event : understood.events) {
    if (const auto* repair = std::get_if<observe::Repair>(&event))
      out.push_back(fmt::format("{} {}. Readings before this speak of the machine as it was; try it again and say what works now.", repair->pin.known() ? machine.long_name_of(repair->pin) : machine.part(repair->part).ref, observe::name_of(repair->act)));
    // Any other state stands at the head of the answer.
    if (const auto* change = std::get_if<observe::StateChange>(&event); change && change->now.actions().empty()) out.push_back("Bench: complete, powered.");
    if (const auto* seen = std::get_if<Observation>(&event)) {
      if (seen->on_good) out.push_back(fmt::format("A good one shows {} at {}: expected there from now on, on every machine of this model.", observe::describe(seen->value, machine), observe::describe(seen->point, machine)));
      else if (seen->value.note.find("taken as power off") != std::string::npos && !std::exchange(power_told, true)) out.push_back("Taken as read with the power off.");
    }
  }
  return out;
}

bool is_choice(LineKind kind) { return kind == LineKind::want || kind == LineKind::leave || kind == LineKind::cannot; }

bool changes_ranking(LineKind kind) {
  return is_choice(kind) || kind == LineKind::read || kind == LineKind::symptom || kind == LineKind::repair || kind == LineKind::state || kind == LineKind::swap;
}

/// Tools and profiles are checked here: the line keeps them as typed.
Status check_line(LineKind kind, const std::string& typed) {
  if (kind != LineKind::tools) return Done{};
  const auto tools = read_tools(typed);
  return tools ? Status(Done{}) : Status(tools.error());
}

/// Each caution once, though a line may hold several events.
std::vector<std::string> cautions_now(const Understood& understood, const board::Setup& before, const Sitting& sitting) {
  const bool qualified = is_qualified(sitting.options().tools);
  std::vector<std::string> out;
  for (const observe::Event& event : understood.events) {
    std::vector<std::string> some;
    if (const auto* seen = std::get_if<Observation>(&event)) some = cautions_on(*seen, sitting.machine(), qualified);
    if (const auto* repair = std::get_if<observe::Repair>(&event)) some = cautions_on(*repair, sitting.machine());
    if (const auto* change = std::get_if<observe::StateChange>(&event)) some = cautions_on(*change, before, sitting.machine());
    for (std::string& one : some)
      if (std::find(out.begin(), out.end(), one) == out.end()) out.push_back(std::move(one));
  }
  return out;
}

report::Entry plain_entry(const char* what, const Sitting& sitting) {
  report::Entry out;
  out.what = what;
  out.slip = slip_of(sitting, false);
  return out;
}

}  // namespace

Result<report::Entry> enter(Sitting& sitting, store::Workshop* workshop, LineKind kind, const std::string& words, const std::string& when, const std::string& about) {
  if (const Status good = check_line(kind, words); !good) return good.error();
  const auto checked = is_choice(kind) ? settle(sitting, kind, words) : Result<std::string>(words);
  if (!checked) return checked.error();
  const std::string& typed = *checked;
  const auto understood = sitting.understand(kind, typed, when, about);
  if (!understood) return understood.error();
  const bool nothing_heard = kind == LineKind::symptom && understood->events.empty();
  if (nothing_heard) {
    report::Entry out = plain_entry(word_for(kind), sitting);
    out.lines = questions(*understood, sitting.machine());
    out.nothing_kept = true;
    return out;
  }
  const auto apart = observe::dismantled(sitting.history());
  const board::Setup state_before = sitting.state();
  const auto seen = observations(*understood);
  std::optional<fault::Ranking> before;
  if (!seen.empty()) {
    auto ranking = sitting.ranking();
    if (!ranking) return ranking.error();
    before = std::move(ranking).value();
  }
  auto told = meanings(sitting, seen);
  auto lines = understood_lines(*understood, sitting.machine());
  if (const Status kept = sitting.keep(*understood, workshop); !kept) return kept.error();
  report::Entry out = plain_entry(word_for(kind), sitting);
  out.lines = std::move(lines);
  for (const observe::Event& event : understood->events)
    if (const auto* repair = std::get_if<observe::Repair>(&event))
      for (std::string& line : reminders(sitting, *repair)) out.lines.push_back(std::move(line));
  if (understood->swap)
    for (std::string& line : swap_lines(*understood->swap, sitting)) out.lines.push_back(std::move(line));
  for (std::string& line : questions(*understood, sitting.machine())) out.lines.push_back(std::move(line));
  const std::vector<std::string> dangers = cautions_now(*understood, state_before, sitting);
  for (const observe::Event& event : understood->events)
    if (const auto* change = std::get_if<observe::StateChange>(&event))
      for (std::string& line : notes_on(*change, apart, sitting.machine())) out.lines.push_back(std::move(line));
  for (std::string& line : consequences(sitting, kind, typed)) out.lines.push_back(std::move(line));
  out.meanings = std::move(told);
  out.pictures = chip_pictures(seen, out.meanings, sitting.machine());
  auto news = tracing_news(sitting, understood->events);
  if (!news) return news.error();
  for (std::string& line : *news) out.lines.push_back(std::move(line));
  if (before) {
    const auto after = sitting.ranking();
    if (!after) return after.error();
    add_shifts(out, *before, *after);
  }
  out.slip.cautions = dangers;
  if (!changes_ranking(kind)) return out;
  auto proposal = next(sitting, 1);
  if (!proposal) return proposal.error();
  out.slip = proposal->slip;
  out.slip.cautions.insert(out.slip.cautions.begin(), dangers.begin(), dangers.end());
  out.next = std::move(proposal).value();
  return out;
}

Result<report::Entry> enter(Desk& desk, LineKind kind, const std::string& typed, const std::string& about) {
  auto sitting = desk.sit();
  if (!sitting) return sitting.error();
  const auto shop = desk.workshop();
  if (!shop) return shop.error();
  auto entry = enter(**sitting, *shop, kind, typed, desk.now(), about);
  if (entry && !changes_ranking(kind)) entry->lines.push_back("Kept.");
  if (entry) {
    CautionMemory memory(**shop, (*sitting)->job().id, desk.now());
    memory.shorten(entry->slip.cautions);
    if (entry->next) memory.shorten(*entry->next, 1);
  }
  return entry;
}

Result<report::Entry> undo(Desk& desk) {
  auto job = desk.current_job();
  if (!job) return job.error();
  if (!job.value()) return not_found("no job is open, so there is nothing to take back", "begin one: halfsplit job open MACHINE");
  const auto shop = desk.workshop();
  if (!shop) return shop.error();
  auto taken = (*shop)->undo(**job);
  if (!taken) return taken.error();
  report::Entry out;
  out.what = "undo";
  if (!taken.value()) {
    out.lines.push_back("Nothing to take back: the job has no lines.");
    out.nothing_kept = true;
    return out;
  }
  const job::Line& line = **taken;
  auto sitting = desk.sit(std::move(**job));
  if (!sitting) return sitting.error();
  out.lines.push_back(fmt::format("Taken back: {} {}", job::name_of(line.kind), line.typed));
  auto proposal = next(**sitting, 1);
  if (!proposal) return proposal.error();
  out.slip = proposal->slip;
  out.next = std::move(proposal).value();
  return out;
}

Result<report::Entry> show_settled(Desk& desk, LineKind kind) {
  auto sitting = desk.sit();
  if (!sitting) return sitting.error();
  report::Entry out = plain_entry(word_for(kind), **sitting);
  out.lines = settled(**sitting, kind);
  return out;
}

Result<report::Entry> show_state(Desk& desk) {
  auto sitting = desk.sit();
  if (!sitting) return sitting.error();
  report::Entry out = plain_entry("state", **sitting);
  out.slip.cautions = bench_cautions((*sitting)->history(), (*sitting)->machine(), is_qualified((*sitting)->options().tools));
  if (const auto shop = desk.workshop()) CautionMemory(**shop, (*sitting)->job().id, desk.now()).shorten(out.slip.cautions);
  if (out.slip.bench.empty()) out.lines.push_back("Bench: complete, powered.");
  return out;
}

}  // namespace halfsplit::app
