#include "observe/history.h"

namespace halfsplit::observe {

namespace {

bool begins_epoch(const Event& event) {
  const auto* amended = std::get_if<Amended>(&event);
  return std::holds_alternative<Repair>(event) || (amended && amended->ours);
}

}  // namespace

void History::add(Event event) { events_.push_back(std::move(event)); }

std::optional<Event> History::undo() {
  if (events_.empty()) return std::nullopt;
  Event last = std::move(events_.back());
  events_.pop_back();
  return last;
}

board::Setup History::state() const {
  for (auto event = events_.rbegin(); event != events_.rend(); ++event)
    if (const auto* change = std::get_if<StateChange>(&*event)) return change->now;
  return {};
}

std::vector<Epoch> History::epochs() const {
  std::vector<Epoch> out{Epoch{0, 0}};
  for (std::size_t i = 0; i < events_.size(); ++i) {
    if (begins_epoch(events_[i])) out.push_back(Epoch{i, i});
    out.back().last = i + 1;
  }
  return out;
}

std::vector<Observation> History::evidence() const {
  std::vector<Observation> out;
  const Epoch now = epochs().back();
  for (std::size_t i = now.first; i < now.last; ++i)
    if (const auto* seen = std::get_if<Observation>(&events_[i]); seen && !seen->on_good) out.push_back(*seen);
  return out;
}

std::vector<Repair> History::repairs() const {
  std::vector<Repair> out;
  for (const Event& event : events_)
    if (const auto* repair = std::get_if<Repair>(&event)) out.push_back(*repair);
  return out;
}

}  // namespace halfsplit::observe
