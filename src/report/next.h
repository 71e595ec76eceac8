// report/next.h - what to do next: measure here, or change that part; with what each outcome would mean.
#pragma once
#include <iosfwd>
#include <optional>
#include <string>
#include <vector>

#include "base/json.h"
#include "report/slip.h"

namespace halfsplit::report {

struct OutcomeLine { std::string value; double p = 0; std::string means; };
struct TestLine {
  std::string point;         ///< as typed: "U5.8"
  std::string point_title;   ///< "U5.8 (/OE), net RAMOE"
  std::string kind;          ///< "probe", "DC volts"
  std::vector<std::string> pins;  ///< of a walk round a chip, "U21.2" and on; empty = one point
  std::string cycle;         ///< bus cycle of a triggered look
  std::string setup;         ///< "complete, powered"
  std::vector<std::string> steps;  ///< what the hand does first
  double minutes = 0, bits = 0;
  std::string expected;      ///< what a good machine shows; may be empty
  std::vector<OutcomeLine> outcomes;
  std::string caution, reason;
  std::vector<std::string> cautions;  ///< the caution, danger by danger
  std::string type_in;       ///< "halfsplit read U5.8 low"
};
struct Next {
  enum class Act { measure, repair, stop };
  Slip slip;
  Act act = Act::stop;
  std::string site;          ///< to repair first, were it now; may be empty
  std::string site_title;
  double p = 0;              ///< that a fault sits there
  std::string reason;
  double repair_minutes = 0, measure_minutes = 0;  ///< expected to a working machine, by each way
  std::vector<TestLine> tests;
  std::string before_power;  ///< what comes before the first power-on; empty = done or not needed
  std::vector<std::string> repair_steps;   ///< for the site, in order
  std::string trace;         ///< how to find what drives a pin that isn't traced yet, where that is the foremost suspect; may be empty
  std::vector<std::string> handling;       ///< antistatic handling and the like
};
/// `tests`: how many are told at length; the others get a line.
void print(std::ostream& out, const Next& next, const Style& style, std::size_t tests = 1);
/// Two or three lines: what to do now. Used below other answers.
void print_short(std::ostream& out, const Next& next, const Style& style);
Json json_of(const Next& next);
Json json_of(const TestLine& test);

}  // namespace halfsplit::report
