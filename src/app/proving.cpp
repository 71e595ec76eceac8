#include "app/proving.h"

#include <fmt/core.h>

#include <algorithm>
#include <iterator>

#include "app/advice.h"
#include "app/choices.h"
#include "app/verdicts.h"
#include "app/way_back.h"
#include "base/text.h"
#include "plan/proof.h"

namespace halfsplit::app {
namespace {

using plan::Handled;
using plan::ProofItem;
using Standing = ProofItem::Standing;

constexpr std::size_t kMostThrough = 3;

const char* name_of(Standing standing) {
  switch (standing) {
    case Standing::proven: return "proven";
    case Standing::partly: return "partly";
    case Standing::stale: return "stale";
    case Standing::failing: return "failing";
    case Standing::owed: return "owed";
    case Standing::aside: return "aside";
    case Standing::stays: return "stays";
  }
  return "owed";
}

const char* name_of(Handled::What what) {
  switch (what) {
    case Handled::What::part: return "part";
    case Handled::What::pin: return "pin";
    case Handled::What::cover: return "cover";
    case Handled::What::bridge: return "bridge";
    case Handled::What::change: return "change";
  }
  return "part";
}

class Words {
 public:
  explicit Words(Sitting& sitting) : sitting_(sitting), machine_(sitting.machine()) {}

  report::ProofRow row(const ProofItem& item) const {
    report::ProofRow out;
    out.standing = name_of(item.standing);
    out.now = item.now;
    if (!item.in_the_way.empty()) out.first = back_words(item.in_the_way);
    if (item.by) {
      out.line = sitting_.line_number(*item.by);
      out.epoch = plan::epoch_of(*item.by, sitting_.history());
      out.when = sitting_.job().lines[out.line - 1].when;
    }
    if (item.function) fill(out, item, machine_.function(*item.function));
    else fill(out, item, *item.handled);
    return out;
  }

 private:
  /// "symptom picture works, line 7".
  std::string told(std::size_t event) const {
    const std::size_t line = sitting_.line_number(event);
    const job::Line& one = sitting_.job().lines[line - 1];
    return fmt::format("{} {}, line {}", job::name_of(one.kind), one.typed, line);
  }
  std::string back_words(const std::vector<board::Action>& actions) const {
    board::Setup from(actions);
    return change_words(from, {}, machine_);
  }

  void fill(report::ProofRow& out, const ProofItem& item, const board::Function& function) const {
    out.subject = "function";
    out.name = function.id;
    out.title = function.title;
    out.key = function.held.has_value();
    switch (item.standing) {
      case Standing::proven: out.text = told(*item.by); break;
      case Standing::failing: out.text = "last heard: " + told(*item.by); break;
      case Standing::stale: out.text = fmt::format("worked ({}) before {}; try it again", told(*item.by), told(*item.touched)); break;
      case Standing::partly: out.text = partly(*item.by); break;
      case Standing::owed: out.text = "not tried yet"; break;
      case Standing::aside: break;
      case Standing::stays: break;
    }
  }
  std::string partly(std::size_t event) const {
    const auto& seen = std::get<observe::Observation>(sitting_.history().events()[event]);
    if (!seen.condition.empty()) return fmt::format("works {} ({}); owed in every condition", seen.condition, told(event));
    if (seen.share.seen != seen.share.trials) return fmt::format("worked {} of {} times ({})", seen.share.seen, seen.share.trials, told(event));
    return fmt::format("works with {} ({}); once more when the machine is whole", board::describe(seen.setup, machine_), told(event));
  }

  void fill(report::ProofRow& out, const ProofItem& item, const Handled& thing) const {
    out.subject = name_of(thing.what);
    out.name = thing.name;
    out.title = thing.name + " " + (thing.what == Handled::What::change ? "(our change)" : thing.done.empty() ? "was off" : thing.done);
    if (!thing.back.empty()) out.text = thing.back + (item.through.empty() ? "" : ", then try: " + through(item));
    else if (item.by) out.text = told(*item.by);
    else if (item.standing == Standing::owed) out.text = item.through.empty() ? "no function hangs on it: measure or look at it" : "try: " + through(item) + "; or measure at it";
  }
  std::string through(const ProofItem& item) const {
    std::vector<std::string> out;
    for (std::size_t i = 0; i < std::min(item.through.size(), kMostThrough); ++i) out.push_back(machine_.function(item.through[i]).title);
    return join(out, " / ");
  }

  Sitting& sitting_;
  const board::Machine& machine_;
};

}  // namespace

report::Proof prove(Sitting& sitting) {
  const Choices choices = choices_of(sitting.options(), sitting.machine());
  plan::ProofOptions options;
  options.set_aside = choices.set_aside;
  for (const LeftDefect& left : choices.left) options.left.push_back(left.part);
  const plan::Proof proof = plan::proof_list(sitting.history(), sitting.model().predictor(), options);
  report::Proof out;
  out.slip = slip_of(sitting, false);
  out.proven = proof.proven();
  out.owed = proof.owed();
  for (const report::BackStep& step : way_back(sitting).steps) out.reassembly.push_back(step.step);
  const Words teller(sitting);
  for (const ProofItem& item : proof.items) out.rows.push_back(teller.row(item));
  for (const LeftDefect& left : choices.left) {
    report::ProofRow row;
    row.subject = "part";
    row.name = row.title = sitting.machine().part(left.part).ref;
    row.standing = "stays";
    row.text = left.why;
    row.when = left.when;
    const auto same = [&](const report::ProofRow& one) { return one.standing == row.standing && one.name == row.name; };
    out.rows.erase(std::remove_if(out.rows.begin(), out.rows.end(), same), out.rows.end());
    out.rows.push_back(std::move(row));
  }
  return out;
}

std::vector<std::string> still_owed(Sitting& sitting) {
  const report::Proof proof = prove(sitting);
  if (proof.owed == 0) return {};
  std::vector<report::ProofRow> rows;
  std::copy_if(proof.rows.begin(), proof.rows.end(), std::back_inserter(rows), [](const report::ProofRow& row) { return row.is_owed(); });
  std::vector<std::string> out = {fmt::format("Of the proof list {} still owed:", proof.owed == 1 ? std::string("one is") : fmt::format("{} are", proof.owed))};
  for (const report::ProofGroup& group : report::grouped(rows)) out.push_back("  " + group.names + ": " + group.text);
  return out;
}

}  // namespace halfsplit::app
