// report/job_report.h - a job from complaint to hand-back, for the owner and for the file: as Markdown, as one HTML page that needs nothing else, as JSON.
//
// Rules:    everything typed is escaped; the page prints on plain paper and refers to nothing outside itself.
// Start at: JobReport, page_of(); written by report/page.h.
#pragma once
#include <iosfwd>
#include <string>
#include <vector>

#include "report/entry.h"
#include "report/jobs.h"
#include "report/page.h"
#include "report/proof.h"
#include "report/signal_path.h"
#include "report/suspects.h"

namespace halfsplit::report {

/// What was seen between two repairs, and what it made of the suspects.
struct ReportEpoch {
  std::string title;                    ///< "As it came in", "After U5 was replaced"
  struct Reading { std::size_t line = 0; std::string when, bench; MeaningLine meaning; };
  std::vector<Reading> readings;
  std::vector<SuspectLine> ranking;     ///< at its end; a few
  double outside = 0;
};
struct WorkLine { std::size_t line = 0; std::string when, text; };
struct StaysLine { std::string part, why, risk, watch; };

struct JobReport {
  JobHead head;
  std::string machine, revision, profile, written;   ///< title of the machine; when this was written
  std::vector<std::string> complaint;                ///< as typed
  std::vector<std::string> findings;                 ///< how it ended: culprits with their mode, the note
  std::vector<ReportEpoch> epochs;
  std::vector<WorkLine> work;                        ///< repairs and our changes of the board
  std::vector<std::string> differences;              ///< where the board differs from its drawing, found
  std::vector<StaysLine> stays;
  std::vector<std::string> set_aside;
  std::vector<std::string> notes, stops, cautions;
  std::vector<SignalPath> paths;
  Proof proof;
};
Page page_of(const JobReport& report);
/// Markdown; the style's width is not used, since lines of Markdown are paragraphs.
void print(std::ostream& out, const JobReport& report, const Style& style);
Json json_of(const JobReport& report);

}  // namespace halfsplit::report
