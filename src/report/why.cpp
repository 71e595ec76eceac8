#include "report/why.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <ostream>

#include "base/text.h"
#include "plan/wording.h"
#include "report/table.h"

namespace halfsplit::report {
namespace {

constexpr double kNothing = 0.5;  ///< decibans: 12 %
constexpr std::size_t kModesShown = 4;

std::string odds(double decibans) {
  const double ratio = std::pow(10.0, std::min(std::abs(decibans), 60.0) / 10);
  return ratio >= 1e5 ? std::string("over 100,000") : ratio >= 10 ? fmt::format("{:.0f}", ratio) : shown(ratio, 2);
}

}  // namespace

std::string weight_words(double decibans) {
  if (std::abs(decibans) < kNothing) return "says nothing";
  return fmt::format("{} to 1 {}", odds(decibans), decibans > 0 ? "for" : "against");
}

void print(std::ostream& out, const Why& why, const Style& style) {
  print(out, why.slip, style);
  const SuspectLine& it = why.suspect;
  out << inked(fmt::format("{}  {}", it.site, it.title), Ink::strong, style) << '\n';
  if (why.rank == 0) paragraph(out, "Not a suspect: nothing read so far points there.", style, "  ");
  else paragraph(out, fmt::format("Suspect number {}, {}.", why.rank, plan::percent(it.p)), style, "  ");
  Table ways;
  for (std::size_t i = 0; i < std::min(it.modes.size(), kModesShown); ++i) ways.row({plan::percent(it.modes[i].p), it.modes[i].title});
  ways.print(out, style, 2);
  out << "What speaks for and against it:\n";
  Table table;
  table.row({weight_words(why.start_decibans), "to begin with: how often such a part fails among all others"});
  for (const ReasonLine& reason : why.reasons) table.row({weight_words(reason.decibans), fmt::format("reading {}: {}", reason.reading, reason.text)});
  table.row({weight_words(why.result_decibans), "all together"}, Ink::strong);
  table.print(out, style, 2);
}

Json json_of(const Why& why) {
  Json out, reasons = Json::array(), modes = Json::array();
  for (const ReasonLine& reason : why.reasons) {
    Json one;
    reasons.push(one.set("reading", reason.reading).set("text", reason.text).set("decibans", json_share(reason.decibans)));
  }
  for (const ModeLine& mode : why.suspect.modes) {
    Json one;
    modes.push(one.set("mode", mode.mode).set("title", mode.title).set("p", json_share(mode.p)));
  }
  out.set("schema", "halfsplit/why/1").set("site", why.suspect.site);
  out.set("part", why.suspect.part.empty() ? Json() : Json(why.suspect.part)).set("title", why.suspect.title).set("p", json_share(why.suspect.p));
  out.set("rank", why.rank == 0 ? Json() : Json(why.rank)).set("modes", std::move(modes)).set("start_decibans", json_share(why.start_decibans));
  out.set("reasons", std::move(reasons)).set("result_decibans", json_share(why.result_decibans));
  add_json(out, why.slip);
  return out;
}

}  // namespace halfsplit::report
