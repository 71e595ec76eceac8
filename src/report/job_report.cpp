#include "report/job_report.h"

#include <fmt/core.h>

#include <algorithm>
#include <ostream>

#include "base/text.h"
#include "plan/wording.h"

namespace halfsplit::report {
namespace {

std::string day(const std::string& time) { return time.substr(0, time.find('T')); }
/// "2026-11-25 10:05".
std::string moment(const std::string& time) {
  std::string out = time.substr(0, 16);
  std::replace(out.begin(), out.end(), 'T', ' ');
  return out;
}

const char* verdict_words(MeaningLine::Verdict verdict) {
  switch (verdict) {
    case MeaningLine::Verdict::as_expected: return "right";
    case MeaningLine::Verdict::low: return "low";
    case MeaningLine::Verdict::high: return "high";
    case MeaningLine::Verdict::different: return "wrong";
    case MeaningLine::Verdict::unknown: return "noted";
  }
  return "noted";
}

std::string expected_of(const MeaningLine& meaning) { return meaning.kind == "function" ? "works" : meaning.expected; }

void readings(Page& page, const ReportEpoch& epoch) {
  std::vector<std::vector<std::string>> rows = {{"Where", "Seen", "A good machine", "Verdict", "Bench"}};
  for (const auto& reading : epoch.readings) {
    const MeaningLine& meaning = reading.meaning;
    const std::string kind = meaning.kind == "function" ? "" : ", " + meaning.kind;
    rows.push_back({meaning.point + kind, meaning.value + (meaning.note.empty() ? "" : " (" + meaning.note + ")"), expected_of(meaning), verdict_words(meaning.verdict), reading.bench.empty() ? "whole, on" : reading.bench});
  }
  page.table(std::move(rows));
}

void ranking(Page& page, const ReportEpoch& epoch) {
  if (epoch.ranking.empty()) return;
  page.paragraph("What these readings pointed to:");
  std::vector<std::vector<std::string>> rows = {{"Suspect", "Chance", "What it is, and how it would have failed"}};
  for (const SuspectLine& suspect : epoch.ranking) {
    const std::string way = suspect.modes.empty() ? "" : suspect.modes.front().title;
    rows.push_back({suspect.site, plan::percent(suspect.p), suspect.title + (suspect.title.empty() || way.empty() ? "" : ": ") + way});
  }
  if (epoch.outside >= 0.005) rows.push_back({"none of them", plan::percent(epoch.outside), "something that these explain badly or not at all"});
  page.table(std::move(rows));
}

void proof_rows(Page& page, const JobReport& report, const char* head, const std::vector<std::string>& standings) {
  std::vector<ProofRow> rows;
  for (const ProofRow& row : report.proof.rows)
    if (std::find(standings.begin(), standings.end(), row.standing) != standings.end()) rows.push_back(row);
  if (rows.empty()) return;
  page.paragraph(head);
  std::vector<std::string> items;
  for (const ProofGroup& group : grouped(rows)) items.push_back(group.names + (group.text.empty() ? "" : ": " + group.text));
  page.list(items);
}

void summary(Page& page, const JobReport& report) {
  for (const std::string& stop : report.stops) page.danger("STOP. " + stop);
  page.heading("In short");
  std::vector<std::string> items;
  items.push_back("Came in with: " + (report.complaint.empty() ? "nothing noted" : join(report.complaint, "; ")));
  if (!report.findings.empty()) items.push_back("What it was: " + join(report.findings, "; "));
  std::vector<std::string> work;
  for (const WorkLine& line : report.work) work.push_back(line.text);
  items.push_back("Done: " + (work.empty() ? "nothing mended" : join(work, "; ")));
  std::vector<std::string> stays;
  for (const StaysLine& line : report.stays) stays.push_back(line.part + ", " + line.why);
  if (!stays.empty()) items.push_back("Stays as it is: " + join(stays, "; "));
  if (!report.set_aside.empty()) items.push_back("Not wanted: " + join(report.set_aside, ", "));
  items.push_back("Proof: " + proof_sum(report.proof));
  page.list(items);
}

void stays(Page& page, const JobReport& report) {
  if (report.stays.empty() && report.set_aside.empty()) return;
  page.heading("What stays, and what to watch");
  std::vector<std::vector<std::string>> rows = {{"Part", "Why", "What it can still do", "Watch"}};
  for (const StaysLine& line : report.stays) rows.push_back({line.part, line.why, line.risk, line.watch});
  page.table(std::move(rows));
  if (!report.set_aside.empty()) page.paragraph("Not wanted and not tried: " + join(report.set_aside, ", ") + ".");
}

}  // namespace

Page page_of(const JobReport& report) {
  Page page;
  page.title = report.head.title;
  page.below = fmt::format("{}{}, job {}, opened {}, {}{}", report.machine, report.revision.empty() ? "" : " revision " + report.revision, report.head.number, day(report.head.opened), report.head.outcome,
                           report.written.empty() ? "" : "; written " + moment(report.written));
  summary(page, report);
  if (!report.paths.empty()) {
    page.heading("From the culprit to the symptom");
    for (const SignalPath& path : report.paths) page.drawing(draw(path), in_one_line(path));
  }
  for (const ReportEpoch& epoch : report.epochs) {
    if (epoch.readings.empty()) continue;
    page.heading(epoch.title);
    readings(page, epoch);
    ranking(page, epoch);
  }
  if (!report.work.empty() || !report.differences.empty()) page.heading("Work done");
  std::vector<std::vector<std::string>> rows = {{"When", "What"}};
  for (const WorkLine& line : report.work) rows.push_back({moment(line.when), line.text});
  page.table(std::move(rows));
  if (!report.differences.empty()) page.paragraph("Found different from the drawing: " + join(report.differences, "; ") + ".");
  stays(page, report);
  page.heading("Proof: " + proof_sum(report.proof));
  proof_rows(page, report, "Not working:", {"failing"});
  proof_rows(page, report, "Still owed:", {"owed", "partly", "stale"});
  proof_rows(page, report, "Proven:", {"proven"});
  if (!report.cautions.empty()) page.heading("Cautions");
  page.list(report.cautions);
  if (!report.notes.empty()) page.heading("Notes");
  page.list(report.notes);
  return page;
}

void print(std::ostream& out, const JobReport& report, const Style&) { write_markdown(out, page_of(report)); }

Json json_of(const JobReport& report) {
  Json out, epochs = Json::array(), work = Json::array(), stays = Json::array(), paths = Json::array(), job;
  job.set("number", report.head.number).set("title", report.head.title).set("machine", report.head.machine).set("opened", report.head.opened).set("outcome", report.head.outcome).set("closed", report.head.closed);
  for (const ReportEpoch& epoch : report.epochs) {
    Json one, readings = Json::array(), suspects = Json::array();
    for (const auto& reading : epoch.readings) {
      Json line;
      line.set("line", reading.line).set("when", reading.when).set("point", reading.meaning.point).set("kind", reading.meaning.kind).set("value", reading.meaning.value);
      readings.push(line.set("expected", expected_of(reading.meaning)).set("verdict", verdict_words(reading.meaning.verdict)).set("setup", reading.bench));
    }
    for (const SuspectLine& suspect : epoch.ranking) {
      Json line;
      suspects.push(line.set("site", suspect.site).set("title", suspect.title).set("p", json_share(suspect.p)));
    }
    epochs.push(one.set("title", epoch.title).set("readings", std::move(readings)).set("suspects", std::move(suspects)).set("outside", json_share(epoch.outside)));
  }
  for (const WorkLine& line : report.work) {
    Json one;
    work.push(one.set("line", line.line).set("when", line.when).set("text", line.text));
  }
  for (const StaysLine& line : report.stays) {
    Json one;
    stays.push(one.set("part", line.part).set("why", line.why).set("risk", line.risk).set("watch", line.watch));
  }
  for (const SignalPath& path : report.paths) {
    Json one, parts = Json::array();
    for (const PathStop& stop : path.stops) parts.push(stop.part);
    paths.push(one.set("culprit", path.culprit).set("symptom", path.symptom).set("parts", std::move(parts)).set("nets", json_of(path.nets)));
  }
  out.set("schema", "halfsplit/report/1").set("job", std::move(job)).set("machine", report.machine).set("revision", report.revision).set("profile", report.profile);
  out.set("complaint", json_of(report.complaint)).set("findings", json_of(report.findings)).set("epochs", std::move(epochs)).set("work", std::move(work)).set("differences", json_of(report.differences));
  out.set("stays", std::move(stays)).set("set_aside", json_of(report.set_aside)).set("paths", std::move(paths)).set("proof", json_of(report.proof)).set("notes", json_of(report.notes));
  return out.set("stops", json_of(report.stops)).set("cautions", json_of(report.cautions));
}

}  // namespace halfsplit::report
