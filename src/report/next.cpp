#include "report/next.h"

#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <ostream>

#include "base/text.h"
#include "plan/wording.h"
#include "report/table.h"

namespace halfsplit::report {
namespace {

constexpr double kOutcomeShown = 0.005;
constexpr std::size_t kOutcomesShown = 5;
constexpr double kConsidered = 0.5;  ///< a repair is spoken of beside a test from this share on

/// What the hand does for a kind of look: "Probe", "Measure DC volts at".
std::string act_of(const std::string& kind) {
  static constexpr std::array<std::pair<const char*, const char*>, 12> kActs = {{{"probe", "Probe"},
                                                                                {"triggered", "Look with the scope, triggered, at"},
                                                                                {"content", "Compare what is read at"},
                                                                                {"continuity", "Check continuity from"},
                                                                                {"function", "See whether it works:"},
                                                                                {"look", "Look closely at"},
                                                                                {"touch", "Feel, with a wet finger,"},
                                                                                {"smell", "Smell at"},
                                                                                {"part test", "Test outside the machine:"},
                                                                                {"piggyback", "Set a good one on the back of"},
                                                                                {"memory report", "Run a memory test on the bank of"},
                                                                                {"dump", "Read out and compare"}}};
  for (const auto& [name, act] : kActs)
    if (kind == name) return act;
  return "Measure " + kind + " at";
}

/// Steps by their nature carry no commas, so that they can be told in one line.
std::string first_steps(const TestLine& test) { return test.steps.empty() ? std::string() : "First " + join(test.steps, ", ") + "."; }

std::string head_of(const TestLine& test) {
  if (!test.pins.empty()) return fmt::format("Go round with the {}: {}  ({})", test.cycle.empty() ? "probe" : "scope, triggered", test.point_title, minutes(test.minutes));
  return fmt::format("{} {}  ({})", act_of(test.kind), test.point_title, minutes(test.minutes));
}

void print_test(std::ostream& out, const TestLine& test, const Style& style) {
  if (!test.caution.empty()) paragraph(out, test.caution, Ink::danger, style, "Caution: ");
  if (!test.steps.empty()) paragraph(out, first_steps(test), style, "  ");
  paragraph(out, head_of(test), Ink::strong, style, "  ");
  if (!test.expected.empty()) paragraph(out, "A good machine shows: " + test.expected + ".", style, "  ");
  if (!test.pins.empty()) paragraph(out, "Pin 1 first: L low, H high, P pulsing, F floating, N no trigger, - not read, ? not foretold.", Ink::faint, style, "  ");
  Table table;
  for (std::size_t i = 0; i < std::min(test.outcomes.size(), kOutcomesShown); ++i) {
    const OutcomeLine& outcome = test.outcomes[i];
    if (outcome.p >= kOutcomeShown || i == 0) table.row({outcome.value, plan::percent(outcome.p), outcome.means});
  }
  table.print(out, style, 4);
  if (!test.type_in.empty()) paragraph(out, test.type_in, Ink::faint, style, "  Then type: ");
}

void print_repair(std::ostream& out, const Next& next, const Style& style) {
  paragraph(out, fmt::format("Mend {}{}, {}.", next.site, next.site_title.empty() ? "" : " (" + next.site_title + ")", plan::percent(next.p)), Ink::strong, style);
  if (!next.reason.empty()) paragraph(out, next.reason, style, "  ");
  for (const std::string& line : next.handling) paragraph(out, line, Ink::danger, style, "Caution: ");
  std::size_t number = 0;
  for (const std::string& step : next.repair_steps) paragraph(out, step, style, fmt::format("  {}. ", ++number));
}

void print_alternative(std::ostream& out, const Next& next, const Style& style) {
  if (next.act != Next::Act::measure || next.site.empty() || next.p < kConsidered) return;
  paragraph(out, fmt::format("Or mend {} now ({}): about {} to a working machine that way, {} by measuring first.", next.site, plan::percent(next.p), minutes(next.repair_minutes), minutes(next.measure_minutes)), style);
}

const char* name_of(Next::Act act) {
  switch (act) {
    case Next::Act::measure: return "measure";
    case Next::Act::repair: return "repair";
    case Next::Act::stop: return "stop";
  }
  return "stop";
}

}  // namespace

void print(std::ostream& out, const Next& next, const Style& style, std::size_t tests) {
  print(out, next.slip, style);
  if (!next.before_power.empty()) paragraph(out, next.before_power, style);
  const bool only_trace = next.act == Next::Act::repair && !next.trace.empty();
  if (only_trace) paragraph(out, next.trace, style, "Next: ");
  else switch (next.act) {
    case Next::Act::repair: print_repair(out, next, style); break;
    case Next::Act::stop: paragraph(out, "Nothing left to propose: " + (next.reason.empty() ? "no reading offered tells the suspects apart" : next.reason) + ".", style); break;
    case Next::Act::measure: out << inked("Next", Ink::strong, style) << (next.reason.empty() ? "" : ": " + next.reason) << "\n"; break;
  }
  if (next.act == Next::Act::repair && !next.tests.empty() && tests > 0) out << "If you want to be surer first:\n";
  const std::size_t told = std::min(tests, next.tests.size());
  for (std::size_t i = 0; i < told; ++i) print_test(out, next.tests[i], style);
  if (next.tests.size() > told && next.act == Next::Act::measure) {
    out << "Also good:\n";
    Table table;
    for (std::size_t i = told; i < next.tests.size(); ++i) table.row({head_of(next.tests[i]), next.tests[i].steps.empty() ? next.tests[i].reason : first_steps(next.tests[i])});
    table.print(out, style, 2);
  }
  if (!only_trace) print_alternative(out, next, style);
  if (!only_trace && !next.trace.empty()) paragraph(out, next.trace, style);
}

void print_short(std::ostream& out, const Next& next, const Style& style) {
  if (next.act == Next::Act::repair && !next.trace.empty()) {
    paragraph(out, next.trace, Ink::strong, style, "Next: ");
    return;
  }
  if (next.act == Next::Act::repair) {
    paragraph(out, fmt::format("mend {}, {}. How: halfsplit next", next.site, plan::percent(next.p)), Ink::strong, style, "Next: ");
    return;
  }
  if (next.act == Next::Act::stop || next.tests.empty()) {
    paragraph(out, "nothing left to propose" + (next.reason.empty() ? "" : ": " + next.reason) + ".", style, "Next: ");
    return;
  }
  const TestLine& test = next.tests.front();
  if (!test.caution.empty()) paragraph(out, test.caution, Ink::danger, style, "Caution: ");
  const std::string steps = test.steps.empty() ? "" : join(test.steps, ", ") + ", then ";
  std::string act = head_of(test);
  if (!act.empty()) act[0] = static_cast<char>(act[0] >= 'A' && act[0] <= 'Z' ? act[0] - 'A' + 'a' : act[0]);
  paragraph(out, steps + act, Ink::strong, style, "Next: ");
}

Json json_of(const TestLine& test) {
  Json out, outcomes = Json::array();
  for (const OutcomeLine& outcome : test.outcomes) {
    Json one;
    outcomes.push(one.set("value", outcome.value).set("p", json_share(outcome.p)).set("means", outcome.means));
  }
  out.set("point", test.point).set("title", test.point_title).set("kind", test.kind).set("setup", test.setup).set("steps", json_of(test.steps));
  out.set("minutes", json_share(test.minutes)).set("bits", json_share(test.bits)).set("expected", test.expected).set("outcomes", std::move(outcomes));
  if (!test.cycle.empty()) out.set("cycle", test.cycle);
  if (!test.pins.empty()) out.set("pins", json_of(test.pins));
  return out.set("reason", test.reason).set("caution", test.caution);
}

Json json_of(const Next& next) {
  Json out, tests = Json::array();
  for (const TestLine& test : next.tests) tests.push(json_of(test));
  out.set("schema", "halfsplit/next/1").set("verdict", name_of(next.act)).set("tests", std::move(tests));
  out.set("site", next.site.empty() ? Json() : Json(next.site)).set("p", json_share(next.p)).set("reason", next.reason);
  out.set("repair_minutes", json_share(next.repair_minutes)).set("measure_minutes", json_share(next.measure_minutes));
  out.set("repair_steps", json_of(next.repair_steps)).set("handling", json_of(next.handling));
  out.set("before_power", next.before_power).set("trace", next.trace);
  add_json(out, next.slip);
  return out;
}

}  // namespace halfsplit::report
