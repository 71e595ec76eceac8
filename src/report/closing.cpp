#include "report/closing.h"

#include <fmt/core.h>

#include <ostream>

#include "base/text.h"
#include "plan/wording.h"
#include "report/table.h"

namespace halfsplit::report {
namespace {

std::string times(double factor) { return fmt::format("x{:.2f}", factor); }
std::string count_text(double count) { return count > 0.9995 ? "1 count" : fmt::format("{:.3g} of a count", count); }

Json json_of_level(const LevelLine& level) {
  Json out;
  out.set("level", level.level).set("name", level.name).set("before", level.before).set("after", level.after);
  return out.set("counted", level.counted).set("expected", level.expected);
}
Json json_of_blame(const BlameLine& blame) {
  Json out, levels = Json::array();
  for (const LevelLine& level : blame.levels) levels.push(json_of_level(level));
  out.set("place", blame.place).set("mode", blame.mode).set("title", blame.title).set("count", blame.count);
  return out.set("before", blame.before).set("after", blame.after).set("levels", std::move(levels));
}
Json json_of_moved(const MovedLine& moved) {
  Json out;
  out.set("site", moved.site).set("rank_before", moved.rank_before).set("rank_after", moved.rank_after);
  return out.set("before", moved.before).set("after", moved.after);
}

void print_taught(std::ostream& out, const Taught& taught, const Style& style) {
  if (taught.withdrawn) return;
  out << "It teaches:\n";
  Table blames;
  for (const BlameLine& blame : taught.blames) blames.row({blame.place, count_text(blame.count), fmt::format("rate {} -> {}", times(blame.before), times(blame.after)), blame.title});
  blames.print(out, style, 2);
  if (!taught.blames.empty()) {
    out << fmt::format("Of {}, level by level:\n", taught.blames.front().place);
    Table levels;
    for (const LevelLine& level : taught.blames.front().levels)
      levels.row({level.level, level.name, fmt::format("{} -> {}", times(level.before), times(level.after)), fmt::format("{:.3g} counted, {:.3g} expected", level.counted, level.expected)});
    levels.print(out, style, 2);
  }
  if (taught.moved.empty()) return;
  out << (taught.cure.empty() ? std::string("This job's ranking with it:\n") : fmt::format("This job's ranking with it, as it stood before {}:\n", taught.cure));
  Table moved;
  for (const MovedLine& one : taught.moved)
    moved.row({fmt::format("{:>2}", one.rank_after), one.site, fmt::format("{} -> {}", plan::percent(one.before), plan::percent(one.after)), one.rank_before == one.rank_after ? "" : one.rank_before == 0 ? "was not listed" : fmt::format("was {}", one.rank_before)});
  moved.print(out, style, 2);
}

}  // namespace

void print(std::ostream& out, const Closing& closing, const Style& style) {
  print(out, closing.job, style);
  for (const std::string& remark : closing.remarks) paragraph(out, remark, style);
  if (closing.taught) print_taught(out, *closing.taught, style);
  else if (closing.job.head.closed) out << "It teaches nothing.\n";
}

Json json_of(const Closing& closing) {
  Json out = json_of(closing.job), teaches;
  if (closing.taught) {
    Json blames = Json::array(), moved = Json::array();
    for (const BlameLine& blame : closing.taught->blames) blames.push(json_of_blame(blame));
    for (const MovedLine& one : closing.taught->moved) moved.push(json_of_moved(one));
    teaches.set("withdrawn", closing.taught->withdrawn).set("cure", closing.taught->cure).set("blames", std::move(blames)).set("ranking", std::move(moved));
  }
  return out.set("teaches", std::move(teaches)).set("remarks", json_of(closing.remarks)).set("written", closing.written);
}

void print(std::ostream& out, const CaseText& text, const Style&) { out << text.text; }

Json json_of(const CaseText& text) {
  Json out;
  return out.set("schema", "halfsplit/case/1").set("text", text.text);
}

}  // namespace halfsplit::report
