#include "app/jobs.h"

#include <fmt/core.h>

#include <algorithm>
#include <charconv>
#include <filesystem>

#include "app/tools.h"
#include "app/verdicts.h"
#include "base/text.h"

namespace halfsplit::app {
namespace {

using job::LineKind;

report::JobHead head_of(const job::Job& job) {
  report::JobHead out;
  out.number = job.id.number;
  out.title = job.title;
  out.machine = job.machine;
  out.opened = job.opened;
  out.outcome = job::name_of(job.ending().outcome);
  out.closed = job::is_closed(job.ending().outcome);
  out.lines = job.lines.size();
  return out;
}

Result<job::JobId> number_of(const std::string& word) {
  std::string_view digits = word;
  if (!digits.empty() && digits.front() == '#') digits.remove_prefix(1);
  job::JobId out;
  const auto [end, failed] = std::from_chars(digits.data(), digits.data() + digits.size(), out.number);
  if (failed != std::errc() || end != digits.data() + digits.size() || out.number <= 0) return usage(in_quotes(word) + " is not the number of a job", "halfsplit job list shows the numbers");
  return out;
}

/// The lines that the options of `job open` come to.
Result<std::vector<job::Line>> first_lines(const NewJob& wanted, const std::string& when) {
  std::vector<std::pair<LineKind, std::string>> texts;
  if (!wanted.profile.empty()) texts.emplace_back(LineKind::profile, wanted.profile);
  std::vector<std::string> tools = wanted.tools;
  if (wanted.qualified) tools.emplace_back(kQualified);
  if (!tools.empty()) {
    const auto read = read_tools(join(tools, " "));
    if (!read) return read.error();
    texts.emplace_back(LineKind::tools, join(*read, " "));
  }
  for (const std::string& answer : wanted.answers) {
    const std::size_t mark = answer.find('=');
    if (mark == std::string::npos) return usage(in_quotes(answer) + " is not an answer", "type --answer NAME=WORD");
    texts.emplace_back(LineKind::answer, answer.substr(0, mark) + " " + answer.substr(mark + 1));
  }
  std::vector<job::Line> out;
  for (const auto& [kind, text] : texts) {
    auto line = job::make_line(kind, text, when);
    if (!line) return line.error();
    out.push_back(std::move(line).value());
  }
  return out;
}

std::vector<std::string> lost_lines(const Sitting& sitting) {
  std::vector<std::string> out;
  for (const job::Lost& lost : sitting.lost())
    out.push_back(fmt::format("Line {} means nothing on the machine as its files are now: {} {} ({}). Type it anew, or take it as gone.", lost.line + 1, job::name_of(sitting.job().lines[lost.line].kind), lost.typed, lost.why.message));
  return out;
}

std::vector<std::string> open_questions(const Sitting& sitting) {
  std::vector<std::string> out;
  for (const board::Question& question : sitting.machine().questions()) {
    if (sitting.options().answer(question.id) || question.answers.size() < 2) continue;
    std::vector<std::string> words;
    for (const auto& answer : question.answers) words.push_back(answer.word);
    out.push_back(fmt::format("{} Taken as {}; else: halfsplit answer {} {}", question.text, words.front(), question.id, words[1]));
  }
  return out;
}

Result<report::Resumed> resumed(Sitting& sitting) {
  report::Resumed out;
  out.job = head_of(sitting.job());
  out.machine = sitting.machine().title();
  out.lost = lost_lines(sitting);
  out.questions = open_questions(sitting);
  if (out.job->closed) {
    out.slip = slip_of(sitting, false);
    return out;
  }
  auto list = suspects(sitting);
  if (!list) return list.error();
  auto proposal = next(sitting, 1);
  if (!proposal) return proposal.error();
  out.slip = proposal->slip;
  list->slip = {};
  proposal->slip = {};
  out.suspects = std::move(list).value();
  out.next = std::move(proposal).value();
  return out;
}

}  // namespace

Result<job::Job> job_of(Desk& desk, const std::string& number) {
  if (!number.empty()) {
    const auto id = number_of(number);
    if (!id) return id.error();
    const auto shop = desk.workshop();
    if (!shop) return shop.error();
    return (*shop)->load(*id);
  }
  auto current = desk.current_job();
  if (!current) return current.error();
  if (!current.value()) return not_found("no job is open", "begin one: halfsplit job open MACHINE (halfsplit boards lists the machines)");
  return std::move(**current);
}

report::JobShown shown_job(const job::Job& job) {
  report::JobShown out;
  out.head = head_of(job);
  out.profile = job::name_of(job.options().profile);
  for (const job::Line& line : job.lines) {
    report::JobLine one;
    one.command = job::name_of(line.kind);
    one.typed = line.typed;
    one.when = line.when;
    for (const job::Record& record : line.records) one.understood.push_back(record.text);
    out.lines.push_back(std::move(one));
  }
  return out;
}

Result<report::Resumed> open_job(Desk& desk, const NewJob& wanted) {
  const auto folder = find_board(desk.places(), wanted.machine);
  if (!folder) return folder.error();
  job::Job job;
  std::error_code ignored;
  job.folder = std::filesystem::absolute(*folder, ignored).lexically_normal().string();
  job.machine = std::filesystem::path(job.folder).filename().string();
  job.opened = desk.now();
  auto lines = first_lines(wanted, desk.now());
  if (!lines) return lines.error();
  job.lines = std::move(lines).value();
  auto sitting = Sitting::of(desk.places(), job);
  if (!sitting) return sitting.error();
  job.machine = (*sitting)->machine().id();
  job.title = wanted.title.empty() ? (*sitting)->machine().title() : wanted.title;
  job.revision = (*sitting)->machine().revision();
  job.hashes = (*sitting)->hashes();
  const auto shop = desk.workshop();
  if (!shop) return shop.error();
  if (const Status made = (*shop)->create(job); !made) return made.error();
  (*sitting)->job() = job;
  return resumed(**sitting);
}

Result<report::JobList> list_jobs(Desk& desk) {
  const auto shop = desk.workshop();
  if (!shop) return shop.error();
  const auto all = (*shop)->list();
  if (!all) return all.error();
  report::JobList out;
  for (const store::Summary& summary : *all) {
    report::JobHead head;
    head.number = summary.id.number;
    head.title = summary.title;
    head.machine = summary.machine;
    head.opened = summary.opened;
    head.changed = summary.changed;
    head.outcome = job::name_of(summary.outcome);
    head.closed = job::is_closed(summary.outcome);
    head.lines = summary.lines;
    head.current = summary.current;
    out.jobs.push_back(std::move(head));
  }
  return out;
}

Result<report::JobShown> show_job(Desk& desk, const std::string& number) {
  auto job = job_of(desk, number);
  if (!job) return job.error();
  return shown_job(*job);
}

Result<report::Resumed> use_job(Desk& desk, const std::string& number) {
  const auto id = number_of(number);
  if (!id) return id.error();
  const auto shop = desk.workshop();
  if (!shop) return shop.error();
  if (const Status used = (*shop)->use(*id); !used) return used.error();
  return resume(desk);
}

Result<report::Resumed> resume(Desk& desk) {
  auto job = desk.current_job();
  if (!job) return job.error();
  if (!job.value()) {
    report::Resumed out;
    for (const std::string& folder : all_boards(desk.places())) out.machines.push_back(std::filesystem::path(folder).filename().string());
    return out;
  }
  auto sitting = desk.sit(std::move(**job));
  if (!sitting) return sitting.error();
  return resumed(**sitting);
}

}  // namespace halfsplit::app
