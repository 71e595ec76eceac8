#include <algorithm>
#include <map>
#include <set>

#include <fmt/core.h>

#include "base/text.h"
#include "knowledge/read_pack.h"

namespace halfsplit::knowledge {
namespace {

class Checker {
 public:
  Checker(const Entries& entries, Errors& errors) : entries_(entries), errors_(errors) {
    for (const Source& source : entries.sources) {
      unique(source.id, source.place);
      sources_.push_back(source.id);
    }
  }

  void run() {
    for (const Pack& pack : entries_.packs) unique(pack.id, {pack.file, 1, 1});
    entries(entries_.profiles);
    entries(entries_.rates);
    entries(entries_.groups);
    entries(entries_.modes);
    entries(entries_.looks);
    entries(entries_.doubts);
    entries(entries_.spares);
    entries(entries_.readings);
    entries(entries_.actions);
    entries(entries_.repairs);
    entries(entries_.chips);
    entries(entries_.modifiers);
    entries(entries_.subjects);
    entries(entries_.states);
    entries(entries_.symptoms);
    entries(entries_.procedures);
    entry(entries_.sure);
    entry(entries_.unlisted);
    entry(entries_.find);
    entry(entries_.tryout);
    entry(entries_.astray);
    entry(entries_.drawing);
    entry(entries_.filler);
    entry(entries_.base);
    rows_once();
    parents_end();
    needed();
  }

 private:
  void complain(std::string message, const Place& place, std::string hint = {}) { errors_.add(bad_input(std::move(message), place, std::move(hint))); }

  void unique(const std::string& id, const Place& place) {
    const auto [it, fresh] = seen_.emplace(id, place);
    if (!fresh) complain("the id " + in_quotes(id) + " is given twice", place, "first at " + it->second.text());
  }

  void sourced(const Entry& it) {
    if (std::find(sources_.begin(), sources_.end(), it.source) != sources_.end()) return;
    const auto near = did_you_mean(it.source, sources_);
    complain("no pack declares the source " + in_quotes(it.source), it.place, near ? "did you mean " + in_quotes(*near) + "?" : "add a [[source]] with id and title");
  }

  template <class Row>
  void entries(const std::vector<Row>& rows) {
    for (const Row& row : rows) {
      unique(row.id, row.place);
      sourced(row);
    }
  }
  template <class Row>
  void entry(const std::optional<Row>& row) {
    if (row) sourced(*row);
  }

  void once(std::map<std::string, Place>& rows, const std::string& key, const Place& place, const char* what) {
    const auto [it, fresh] = rows.emplace(key, place);
    if (!fresh) complain(fmt::format("a second {} for {}", what, key), place, "first at " + it->second.text());
  }

  void rows_once() {
    std::map<std::string, Place> rates, modes, parents, doubts, readings, spares;
    for (const RateRow& row : entries_.rates) once(rates, in_quotes(row.rate_class) + " " + in_quotes(row.technology), row.place, "rate");
    for (const ModeShares& row : entries_.modes) once(modes, in_quotes(row.rate_class) + " " + in_quotes(row.technology), row.place, "list of shares");
    for (const Parent& row : entries_.parents) once(parents, in_quotes(row.rate_class), row.place, "parent");
    for (const Doubt& row : entries_.doubts) once(doubts, observe::name_of(row.kind), row.place, "doubt");
    for (const SpareGrade& row : entries_.spares) once(spares, row.grade, row.place, "figure for spares that are");
    for (const ReadingMinutes& row : entries_.readings) once(readings, observe::name_of(row.kind), row.place, "price");
  }

  /// Every chain of parents ends at a class without one.
  void parents_end() {
    std::map<std::string, std::string> parent_of;
    for (const Parent& row : entries_.parents) parent_of[row.rate_class] = row.parent;
    for (const Parent& row : entries_.parents) {
      std::set<std::string> met{row.rate_class};
      for (auto it = parent_of.find(row.rate_class); it != parent_of.end(); it = parent_of.find(it->second)) {
        if (met.insert(it->second).second) continue;
        complain("the parents of " + in_quotes(row.rate_class) + " go in a circle", row.place);
        break;
      }
    }
  }

  void need(bool there, const char* what) {
    if (!there) complain(fmt::format("no pack gives {}", what), {entries_.packs.empty() ? "knowledge" : entries_.packs.front().file, 1, 1});
  }
  void needed() {
    need(std::any_of(entries_.profiles.begin(), entries_.profiles.end(), [](const Profile& it) { return it.id == "aged"; }), "the profile \"aged\"");
    need(std::any_of(entries_.rates.begin(), entries_.rates.end(), [](const RateRow& it) { return it.rate_class == "part" && it.technology.empty(); }),
         "a rate for the class \"part\", from which all inherit");
    need(entries_.sure.has_value(), "[sure]");
    need(entries_.unlisted.has_value(), "[unlisted]");
    need(entries_.drawing.has_value(), "[drawing]");
    need(entries_.filler.has_value(), "[filler]");
    need(entries_.find && entries_.tryout && entries_.astray, "[find], [tryout] and [astray]");
    need(!entries_.chips.empty(), "a [[chip]]");
  }

  const Entries& entries_;
  Errors& errors_;
  std::vector<std::string> sources_;
  std::map<std::string, Place> seen_;
};

}  // namespace

void check_entries(const Entries& entries, Errors& errors) { Checker(entries, errors).run(); }

}  // namespace halfsplit::knowledge
