#include "report/jobs.h"

#include <fmt/core.h>

#include <ostream>

#include "base/text.h"
#include "report/table.h"

namespace halfsplit::report {
namespace {

std::string day(const std::string& time) { return time.substr(0, time.find('T')); }

Json json_of_head(const JobHead& head) {
  Json out;
  out.set("number", head.number).set("title", head.title).set("machine", head.machine).set("opened", head.opened);
  return out.set("outcome", head.outcome).set("closed", head.closed).set("lines", head.lines);
}

/// Of a line with very many readings, a sweep, the first ones.
std::string understood(const JobLine& line) {
  constexpr std::size_t kMost = 12, kShown = 2;
  if (line.understood.size() <= kMost) return join(line.understood, "; ");
  return fmt::format("{}; and {} more", join({line.understood.begin(), line.understood.begin() + kShown}, "; "), line.understood.size() - kShown);
}

void print_beginning(std::ostream& out, const Resumed& resumed, const Style& style) {
  out << "No job is open. To begin:\n";
  const std::string machine = resumed.machines.empty() ? "MACHINE" : resumed.machines.front();
  Table table;
  table.row({"halfsplit job open " + machine, resumed.machines.empty() ? "after: halfsplit import NETLIST --bom PARTS --out MACHINE" : "one of: " + join(resumed.machines, ", ")});
  table.row({"halfsplit symptom no picture", "what doesn't work, and what does"});
  table.row({"halfsplit next", "where to measure first"});
  table.print(out, style, 2);
}

}  // namespace

void print(std::ostream& out, const JobList& list, const Style& style) {
  if (list.jobs.empty()) out << "No jobs yet. Begin one: halfsplit job open MACHINE\n";
  Table table;
  for (const JobHead& head : list.jobs)
    table.row({head.current ? "*" : " ", std::to_string(head.number), day(head.opened), head.outcome, head.title, head.title == head.machine ? "" : head.machine}, head.current ? Ink::strong : Ink::plain);
  table.print(out, style);
}

Json json_of(const JobList& list) {
  Json out, jobs = Json::array();
  for (const JobHead& head : list.jobs) jobs.push(json_of_head(head).set("changed", head.changed).set("current", head.current));
  return out.set("schema", "halfsplit/jobs/1").set("jobs", std::move(jobs));
}

void print(std::ostream& out, const JobShown& shown, const Style& style) {
  const JobHead& head = shown.head;
  if (shown.just_closed) {
    out << fmt::format("Job {}, {}: {}.{}\n", head.number, head.title, head.outcome, head.closed ? "" : " It stays open.");
    for (const std::string& line : shown.owed) paragraph(out, trim(line), style, starts_with(line, "  ") ? "  " : "");
    return;
  }
  out << inked(fmt::format("Job {}: {}", head.number, head.title), Ink::strong, style) << fmt::format("\n{}, opened {}, {}, rates of {} machines\n", head.machine, day(head.opened), head.outcome, shown.profile);
  Table table;
  for (std::size_t i = 0; i < shown.lines.size(); ++i) {
    const JobLine& line = shown.lines[i];
    table.row({fmt::format("{:>3}", i + 1), line.command, line.typed, line.understood.empty() ? "" : "= " + understood(line)});
  }
  table.print(out, style);
}

Json json_of(const JobShown& shown) {
  Json out, lines = Json::array();
  for (const JobLine& line : shown.lines) {
    Json one;
    lines.push(one.set("command", line.command).set("typed", line.typed).set("when", line.when).set("understood", json_of(line.understood)));
  }
  return out.set("schema", "halfsplit/job/1").set("job", json_of_head(shown.head)).set("profile", shown.profile).set("lines", std::move(lines)).set("owed", json_of(shown.owed));
}

void print(std::ostream& out, const JobsFound& found, const Style& style) {
  if (found.lines.empty()) out << "No job says so.\n";
  Table table;
  for (const FoundLine& line : found.lines) table.row({std::to_string(line.number), line.outcome, line.title, line.command + " " + line.typed});
  table.print(out, style);
}

Json json_of(const JobsFound& found) {
  Json out, lines = Json::array();
  for (const FoundLine& line : found.lines) {
    Json one;
    one.set("job", line.number).set("title", line.title).set("machine", line.machine).set("outcome", line.outcome);
    lines.push(one.set("command", line.command).set("typed", line.typed));
  }
  return out.set("schema", "halfsplit/found/1").set("lines", std::move(lines));
}

void print(std::ostream& out, const Resumed& resumed, const Style& style) {
  if (!resumed.job) return print_beginning(out, resumed, style);
  print(out, resumed.slip, style);
  const JobHead& job = *resumed.job;
  const std::string machine = job.title == resumed.machine ? "" : " (" + resumed.machine + ")";
  out << inked(fmt::format("Job {}: {}", job.number, job.title), Ink::strong, style) << machine << (job.outcome == "open" ? "" : ", " + job.outcome) << '\n';
  for (const std::string& lost : resumed.lost) paragraph(out, lost, Ink::danger, style);
  for (const std::string& question : resumed.questions) paragraph(out, question, style, "Open: ");
  if (job.closed) paragraph(out, "This job is closed. Back again: halfsplit close came-back. Another one: halfsplit job open MACHINE", style);
  if (resumed.suspects) print(out, *resumed.suspects, style, {3, 0.02});
  if (resumed.next) print(out, *resumed.next, style);
}

Json json_of(const Resumed& resumed) {
  Json out;
  out.set("schema", "halfsplit/resume/1").set("job", resumed.job ? json_of_head(*resumed.job) : Json());
  out.set("machine", resumed.job ? Json(resumed.machine) : Json()).set("machines", json_of(resumed.machines)).set("lost", json_of(resumed.lost)).set("questions", json_of(resumed.questions));
  out.set("suspects", resumed.suspects ? json_of(*resumed.suspects) : Json()).set("next", resumed.next ? json_of(*resumed.next) : Json());
  add_json(out, resumed.slip);
  return out;
}

}  // namespace halfsplit::report
