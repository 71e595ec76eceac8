#include "app/reporting.h"

#include <fmt/core.h>

#include <algorithm>
#include <filesystem>
#include <set>

#include "app/choices.h"
#include "app/choosing.h"
#include "app/entries.h"
#include "app/proving.h"
#include "app/safety.h"
#include "app/verdicts.h"
#include "base/file.h"
#include "base/text.h"
#include "plan/proof.h"

namespace halfsplit::app {
namespace {

using job::LineKind;
using observe::Observation;

constexpr std::size_t kRanked = 5, kMostPaths = 4, kMostEpochsRanked = 8;
constexpr double kLeastRanked = 0.01, kForemost = 0.3;

/// What began an epoch, in words: "After U5 replaced".
std::string epoch_title(const Sitting& sitting, std::size_t number, const observe::Epoch& epoch) {
  if (number == 0) return "As it came in";
  const observe::Event& first = sitting.history().events()[epoch.first];
  const job::Line& line = sitting.job().lines[sitting.line_number(epoch.first) - 1];
  if (std::holds_alternative<observe::Repair>(first)) return "After the repair: " + line.typed;
  return "After the change: " + line.typed;
}

std::vector<report::ReportEpoch::Reading> readings_in(Sitting& sitting, const observe::Epoch& epoch) {
  std::vector<const Observation*> seen;
  std::vector<std::size_t> events;
  for (std::size_t i = epoch.first; i < epoch.last; ++i)
    if (const auto* one = std::get_if<Observation>(&sitting.history().events()[i])) {
      seen.push_back(one);
      events.push_back(i);
    }
  const auto told = meanings(sitting, seen);
  std::vector<report::ReportEpoch::Reading> out;
  for (std::size_t i = 0; i < seen.size(); ++i) {
    report::ReportEpoch::Reading reading;
    reading.line = sitting.line_number(events[i]);
    reading.when = sitting.job().lines[reading.line - 1].when;
    if (!seen[i]->setup.actions().empty()) reading.bench = board::describe(seen[i]->setup, sitting.machine());
    reading.meaning = told[i];
    out.push_back(std::move(reading));
  }
  return out;
}

void rank(Sitting& sitting, report::ReportEpoch& epoch) {
  const auto list = suspects(sitting);
  if (!list) return;
  for (const report::SuspectLine& line : list->suspects)
    if (epoch.ranking.size() < kRanked && line.p >= kLeastRanked) epoch.ranking.push_back(line);
  epoch.outside = list->outside;
}

/// The ranking as it was just before the line, from the lines up to there.
void rank_before(Desk& desk, const Sitting& sitting, std::size_t line, report::ReportEpoch& epoch) {
  if (auto before = desk.look_back(sitting.job(), line - 1)) rank(**before, epoch);
}

class Teller {
 public:
  Teller(Desk& desk, Sitting& sitting) : desk_(desk), sitting_(sitting), machine_(sitting.machine()), choices_(choices_of(sitting.options(), sitting.machine())) {}

  report::JobReport tell() {
    head();
    lines();
    epochs();
    ending();
    stays();
    paths();
    dangers();
    out_.proof = prove(sitting_);
    return std::move(out_);
  }

 private:
  void head() {
    const job::Job& job = sitting_.job();
    out_.head.number = job.id.number;
    out_.head.title = job.title;
    out_.head.machine = job.machine;
    out_.head.opened = job.opened;
    out_.head.outcome = job::name_of(job.ending().outcome);
    out_.head.closed = job::is_closed(job.ending().outcome);
    out_.machine = machine_.title();
    out_.revision = machine_.revision();
    out_.profile = job::name_of(sitting_.options().profile);
    out_.written = desk_.now();
  }

  /// The complaint is what was said before anything was mended.
  void lines() {
    bool mended = false;
    const auto& all = sitting_.job().lines;
    for (std::size_t i = 0; i < all.size(); ++i) {
      const job::Line& line = all[i];
      if (line.kind == LineKind::symptom && !mended) out_.complaint.push_back(job::symptom_in(line).words);
      if (line.kind == LineKind::note) out_.notes.push_back(line.typed);
      if (line.kind == LineKind::repair) {
        mended = true;
        out_.work.push_back({i + 1, line.when, line.typed});
      }
      if (line.kind != LineKind::amend) continue;
      const auto amendment = board::parse_amendment(line.typed);
      if (!amendment) continue;
      if (amendment->origin == board::Amendment::Origin::ours) out_.work.push_back({i + 1, line.when, board::describe(*amendment)});
      else out_.differences.push_back(board::describe(*amendment));
    }
  }

  void epochs() {
    const auto all = sitting_.history().epochs();
    for (std::size_t i = 0; i < all.size(); ++i) {
      report::ReportEpoch epoch;
      epoch.title = epoch_title(sitting_, i, all[i]);
      epoch.readings = readings_in(sitting_, all[i]);
      const bool worth = !epoch.readings.empty() && i + kMostEpochsRanked >= all.size();
      if (worth && i + 1 < all.size()) rank_before(desk_, sitting_, sitting_.line_number(all[i + 1].first), epoch);
      else if (worth && !out_.head.closed) rank(sitting_, epoch);
      out_.epochs.push_back(std::move(epoch));
    }
  }

  void ending() {
    const job::Ending ending = sitting_.job().ending();
    for (const job::Culprit& culprit : ending.culprits) out_.findings.push_back(culprit.place + (culprit.mode.empty() ? "" : ", " + spoken(culprit.mode)));
    if (!ending.note.empty()) out_.findings.push_back(ending.note);
  }
  static std::string spoken(std::string mode) {
    std::replace(mode.begin(), mode.end(), '-', ' ');
    return mode;
  }

  void stays() {
    for (const LeftDefect& left : choices_.left) {
      const auto [risk, watch] = residual_risk(sitting_, left.part);
      out_.stays.push_back({machine_.part(left.part).ref, left.why, join(risk, ", "), join(watch, ", ")});
    }
    for (const board::FunctionId function : choices_.set_aside) out_.set_aside.push_back(machine_.function(function).title);
  }

  /// Parts named as culprits; none named: those that were mended; nothing mended: the foremost suspect.
  std::vector<board::PartId> culprits() {
    std::vector<board::PartId> out;
    const auto take = [&](const std::string& place) {
      if (const auto pin = machine_.find_pin(place)) out.push_back(machine_.pin(*pin).part);
      else if (const auto part = machine_.find_part(place)) out.push_back(*part);
    };
    for (const job::Culprit& culprit : sitting_.job().ending().culprits) take(culprit.place);
    if (out.empty())
      for (const observe::Repair& repair : sitting_.history().repairs()) out.push_back(repair.part);
    if (out.empty())
      if (const auto list = suspects(sitting_); list && !list->suspects.empty() && list->suspects.front().p >= kForemost) take(list->suspects.front().part);
    return out;
  }

  void paths() {
    std::set<board::FunctionId> bad;
    for (const observe::Event& event : sitting_.history().events())
      if (const auto* seen = std::get_if<Observation>(&event))
        if (seen->kind == observe::Kind::function && seen->point.at == observe::Point::At::function && seen->value.word && *seen->value.word != observe::Word::right) bad.insert(seen->point.function);
    std::set<board::PartId> done;
    for (const board::PartId culprit : culprits()) {
      if (!done.insert(culprit).second) continue;
      for (const board::FunctionId function : bad)
        if (auto path = report::signal_path(machine_, culprit, function); path && out_.paths.size() < kMostPaths) out_.paths.push_back(std::move(*path));
    }
  }

  void dangers() {
    out_.stops = stops(sitting_.history(), machine_);
    for (const board::Zone& zone : machine_.zones()) out_.cautions.push_back(zone.title + ": " + zone.caution);
    out_.cautions.push_back("Local codes and licensed practice come before anything said here.");
  }

  Desk& desk_;
  Sitting& sitting_;
  const board::Machine& machine_;
  const Choices choices_;
  report::JobReport out_;
};

}  // namespace

Result<report::JobReport> job_report(Desk& desk) {
  auto sitting = desk.sit();
  if (!sitting) return sitting.error();
  return Teller(desk, **sitting).tell();
}

Status write_report(const std::string& path, const std::string& text, bool replace) {
  std::error_code ignored;
  if (std::filesystem::exists(path, ignored) && !replace) {
    const auto there = read_file(path);
    if (!there || there->substr(0, 200).find(report::kPageMark) == std::string::npos)
      return needs_confirmation(path + " is there and is no report of ours", "add --replace to write over it, or name another file");
  }
  return write_file(path, text);
}

}  // namespace halfsplit::app
