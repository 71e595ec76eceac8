#include "report/replay.h"

#include <fmt/core.h>

#include <ostream>

#include "base/text.h"
#include "report/slip.h"
#include "report/table.h"

namespace halfsplit::report {
namespace {

std::string rank_text(std::optional<std::size_t> rank) { return !rank ? "-" : *rank == 0 ? "not listed" : std::to_string(*rank); }

bool changed(const ReplayRow& row) { return row.before && *row.before != row.now; }

std::string verdict(const ReplayRow& row) {
  if (row.pushed) return "PUSHED OUT of the first three";
  if (!changed(row)) return row.before ? "" : "new";
  return row.now != 0 && (*row.before == 0 || row.now < *row.before) ? "better" : "worse";
}

Json rank_json(std::optional<std::size_t> rank) { return !rank || *rank == 0 ? Json() : Json(*rank); }

}  // namespace

void print(std::ostream& out, const Replay& replay, const Style& style, std::size_t most) {
  if (replay.rows.empty()) {
    out << "No past job with a known culprit yet.\n";
  } else {
    Table table;
    table.row({"job", "culprit", "packs alone", "before", "now", ""}, Ink::faint);
    std::size_t alike = 0;
    for (const ReplayRow& row : replay.rows)
      if (changed(row) || row.pushed || ++alike <= most)
        table.row({row.job, row.culprit, rank_text(row.packs), rank_text(row.before), rank_text(row.now), verdict(row)}, row.pushed ? Ink::danger : Ink::plain);
    table.print(out, style);
    if (alike > most) out << fmt::format("and {} more that stand as before (--all)\n", alike - most);
    out << fmt::format("{}: {} better, {} worse, {} as before; {} pushed out of the first three.\n", counted(replay.rows.size(), "culprit"), replay.better, replay.worse, replay.same, replay.pushed);
  }
  for (const std::string& one : replay.unusable) paragraph(out, one, style, "Left out: ");
}

Json json_of(const Replay& replay) {
  Json out, rows = Json::array();
  for (const ReplayRow& row : replay.rows) {
    Json one;
    one.set("job", row.job).set("culprit", row.culprit).set("packs", rank_json(row.packs)).set("before", rank_json(row.before));
    rows.push(one.set("now", rank_json(row.now)).set("pushed_out", row.pushed));
  }
  out.set("schema", "halfsplit/replay/1").set("with", replay.with).set("rows", std::move(rows));
  out.set("better", replay.better).set("worse", replay.worse).set("same", replay.same).set("pushed_out", replay.pushed);
  return out.set("unusable", json_of(replay.unusable)).set("accepted", replay.accepted);
}

}  // namespace halfsplit::report
