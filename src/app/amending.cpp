#include "app/amending.h"

#include <fmt/core.h>

#include <algorithm>

#include "app/difference.h"
#include "app/entries.h"
#include "app/shifts.h"
#include "app/verdicts.h"
#include "base/text.h"
#include "board/amendment.h"
#include "board/keep.h"
#include "board/spec.h"

namespace halfsplit::app {
namespace {

using job::LineKind;

/// Stored, then the machine made anew; the answer holds what both of them say.
Result<report::Entry> change_machine(Desk& desk, Sitting& before, const job::Line& line, const char* what) {
  job::Job changed = before.job();
  changed.lines.push_back(line);
  // Tried first: a line that the machine refuses is not kept.
  auto after = Sitting::of(desk.places(), changed);
  if (!after) return after.error();
  const std::size_t lost_before = before.lost().size();
  const auto was = before.ranking();
  if (!was) return was.error();
  const auto shop = desk.workshop();
  if (!shop) return shop.error();
  if (const Status may = job::may_add(before.job(), line); !may) return may.error();
  if (const Status stored = (*shop)->append(before.job(), line); !stored) return stored.error();
  after = desk.sit(before.job());
  if (!after) return after.error();
  Sitting& now = **after;
  const auto is = now.ranking();
  if (!is) return is.error();
  const auto differs = difference(before.model(), now.model(), {}, before.state());
  if (!differs) return differs.error();
  report::Entry out;
  out.what = what;
  if (line.kind == LineKind::amend) {
    const auto amendment = board::parse_amendment(line.typed);
    out.lines.push_back(fmt::format("{} ({}).", board::describe(*amendment), board::title_of(amendment->origin)));
    if (amendment->origin == board::Amendment::Origin::ours && !before.evidence().empty())
      out.lines.push_back("Readings before this speak of the board as it was; try it again and say what works now.");
  } else {
    out.lines.push_back("Kept.");
  }
  out.lines.push_back(report::summary(*differs));
  for (const std::string& remark : differs->remarks) out.lines.push_back(remark);
  for (std::size_t i = lost_before; i < now.lost().size(); ++i)
    out.lines.push_back(fmt::format("Line {} means nothing on the board as it is now and is left out: {} ({}).", now.lost()[i].line + 1, now.lost()[i].typed, now.lost()[i].why.message));
  add_shifts(out, *was, *is);
  auto proposal = next(now, 1);
  if (!proposal) return proposal.error();
  out.slip = proposal->slip;
  out.next = std::move(proposal).value();
  return out;
}

std::string file_of(const Sitting& sitting) { return sitting.folder() + "/machine.toml"; }

Status may_keep(const board::Amendment& amendment, bool sure, const Sitting& sitting) {
  if (sure || amendment.origin == board::Amendment::Origin::drawing_was_wrong) return Done{};
  return needs_confirmation(fmt::format("{} would go into {}, which all jobs on this machine read", board::describe(amendment), file_of(sitting)),
                            "where the drawing is wrong say so: amend drawing " + amendment.typed + " --keep; else add --yes");
}

/// What goes into the file: the change alone, whose it is in front.
std::string kept_line(const board::Amendment& amendment) {
  const std::string head = amendment.origin == board::Amendment::Origin::ours ? "ours " : amendment.origin == board::Amendment::Origin::drawing_was_wrong ? "drawing " : "";
  return head.empty() || starts_with(lower(amendment.typed), trim(head)) ? amendment.typed : head + amendment.typed;
}

Result<std::vector<std::string>> kept_in(const Sitting& sitting) {
  const auto spec = board::load_spec(sitting.folder());
  if (!spec) return spec.error();
  return spec->amendments;
}

bool in_job(const board::Amendment& amendment, const job::Options& options) { return is_kept(amendment, options.amendments); }

}  // namespace

Result<report::Entry> amend(Desk& desk, const std::string& typed, bool keep, bool sure) {
  auto line = job::make_line(LineKind::amend, typed, desk.now());
  if (!line) return line.error();
  const auto amendment = board::parse_amendment(line->typed);
  if (!amendment) return amendment.error();
  auto sitting = desk.sit();
  if (!sitting) return sitting.error();
  const auto kept = kept_in(**sitting);
  if (!kept) return kept.error();
  if (is_kept(*amendment, *kept)) return usage(fmt::format("{} is in the machine's file already", board::describe(*amendment)), "halfsplit amend lists what is in force");
  const bool entered = in_job(*amendment, (*sitting)->options());
  if (entered && !keep) return usage(fmt::format("{} is entered already", board::describe(*amendment)), "halfsplit amend lists what is in force; halfsplit undo takes back the last line");
  if (keep)
    if (const Status may = may_keep(*amendment, sure, **sitting); !may) return may.error();
  report::Entry out;
  out.what = "amend";
  if (!entered) {
    const auto understood = (*sitting)->understand(LineKind::amend, line->typed, line->when);
    if (!understood) return understood.error();
    auto made = change_machine(desk, **sitting, understood->line, "amend");
    if (!made) return made.error();
    out = std::move(made).value();
  }
  if (keep) {
    if (const Status written = board::keep_amendment((*sitting)->folder(), kept_line(*amendment)); !written) {
      if (!entered)
        if (const auto back = undo(desk); !back) return back.error();  // all or nothing
      return written.error();
    }
    out.lines.push_back(fmt::format("Kept in {} for every job on this machine; undo takes back only this job's line.", file_of(**sitting)));
  }
  return out;
}

Result<report::Entry> answer(Desk& desk, const std::string& typed) {
  auto line = job::make_line(LineKind::answer, typed, desk.now());
  if (!line) return line.error();
  auto sitting = desk.sit();
  if (!sitting) return sitting.error();
  return change_machine(desk, **sitting, *line, "answer");
}

Result<report::Amendments> list_amendments(Desk& desk) {
  auto sitting = desk.sit();
  if (!sitting) return sitting.error();
  const auto kept = kept_in(**sitting);
  if (!kept) return kept.error();
  report::Amendments out;
  out.slip = slip_of(**sitting, false);
  const auto add = [&](const std::string& text, const std::string& when, bool in_file) {
    const auto amendment = board::parse_amendment(text);
    if (amendment) out.rows.push_back({when, board::title_of(amendment->origin), board::describe(*amendment), text, in_file});
  };
  for (const std::string& text : *kept) add(text, "", true);
  for (const job::Line& line : (*sitting)->job().lines) {
    if (line.kind != LineKind::amend) continue;
    const auto amendment = board::parse_amendment(line.typed);
    if (amendment && !is_kept(*amendment, *kept)) add(line.typed, line.when, false);
  }
  return out;
}

}  // namespace halfsplit::app
