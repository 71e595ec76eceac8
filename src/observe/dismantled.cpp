#include "observe/dismantled.h"

#include <algorithm>
#include <array>
#include <utility>

#include "base/text.h"

namespace halfsplit::observe {
namespace {

using board::Action;

constexpr std::array<std::string_view, 22> kSmall = {"screw", "washer", "nut", "spring", "clip", "spacer", "pillar", "foot", "feet", "ring", "keycap", "peg", "rivet", "mica", "bush", "grommet", "belt", "circlip", "bolt", "stud", "insulator", "cap"};

bool holds(const board::Setup& setup, const Action& action) { return std::find(setup.actions().begin(), setup.actions().end(), action) != setup.actions().end(); }

/// The changes of a line in the order typed; those that no order is told of behind them.
std::vector<Action> in_order(const StateChange& change) {
  std::vector<Action> out = change.done;
  for (const Action& action : change.now.actions())
    if (std::find(out.begin(), out.end(), action) == out.end()) out.push_back(action);
  return out;
}

bool is_small(std::string_view word) {
  std::string plain = lower(word);
  if (plain.size() > 3 && plain.back() == 's') plain.pop_back();
  return std::find(kSmall.begin(), kSmall.end(), plain) != kSmall.end();
}

}  // namespace

std::vector<Taken> dismantled(const History& history) {
  std::vector<Taken> out;
  for (std::size_t i = 0; i < history.events().size(); ++i) {
    const auto* change = std::get_if<StateChange>(&history.events()[i]);
    if (!change) continue;
    out.erase(std::remove_if(out.begin(), out.end(), [&](const Taken& one) { return !holds(change->now, one.action); }), out.end());
    std::string remark = change->remark;
    for (const Action& action : in_order(*change)) {
      if (action.kind == Action::Kind::power_off || !holds(change->now, action)) continue;
      const auto known = std::find_if(out.begin(), out.end(), [&](const Taken& one) { return one.action == action; });
      const bool told = std::find(change->done.begin(), change->done.end(), action) != change->done.end();
      if (known == out.end()) out.push_back({action, std::exchange(remark, {}), i});
      else if (told && !remark.empty()) known->remark = std::exchange(remark, {});
    }
  }
  return out;
}

std::vector<std::string> small_parts_in(std::string_view remark) {
  std::string plain(remark);
  for (std::size_t at = plain.find(" and "); at != std::string::npos; at = plain.find(" and ", at)) plain.replace(at, 5, ",");
  std::replace(plain.begin(), plain.end(), ';', ',');
  std::vector<std::string> out;
  for (const std::string_view piece : split(plain, ',')) {
    const auto all = words(piece);
    if (std::any_of(all.begin(), all.end(), is_small)) out.emplace_back(trim(piece));
  }
  return out;
}

}  // namespace halfsplit::observe
