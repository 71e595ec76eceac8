#include "app/choosing.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "app/caution_memory.h"
#include "app/choices.h"
#include "app/entries.h"
#include "app/safety.h"
#include "base/text.h"
#include "plan/influence.h"

namespace halfsplit::app {
namespace {

using board::Machine;
using board::PinId;
using job::LineKind;

constexpr double kLooseEndMm = 3;
constexpr std::size_t kMostNamed = 8, kMostModes = 3, kKeysNamed = 4;

std::string named_some(const std::vector<std::string>& names) {
  std::vector<std::string> shown(names.begin(), names.begin() + static_cast<std::ptrdiff_t>(std::min(names.size(), kMostNamed)));
  std::string out = join(shown, ", ");
  if (names.size() > kMostNamed) out += fmt::format(" and {} more", names.size() - kMostNamed);
  return out;
}

/// The function's own pins, and connector pins on their nets: where a plug or a wire goes to it.
std::vector<PinId> pads_of(const board::Function& function, const Machine& machine) {
  std::vector<PinId> out;
  for (const board::Need& need : function.needs) {
    if (!need.pin.known()) continue;
    out.push_back(need.pin);
    const board::NetId net = machine.pin(need.pin).net;
    if (!net.known() || machine.net(net).kind != board::NetKind::signal) continue;
    for (const PinId pin : machine.net(net).pins)
      if (machine.part(machine.pin(pin).part).type->rate_class == "connector") out.push_back(pin);
  }
  std::sort(out.begin(), out.end());
  out.erase(std::unique(out.begin(), out.end()), out.end());
  return out;
}

std::string pin_and_net(PinId pin, const Machine& machine) {
  const board::NetId net = machine.pin(pin).net;
  return machine.name_of(pin) + (net.known() ? " (" + machine.net(net).name + ")" : "");
}

std::vector<std::string> about_pads(board::FunctionId id, const Machine& machine) {
  const auto pads = pads_of(machine.function(id), machine);
  std::set<board::NetId> nets;
  for (const PinId pad : pads)
    if (machine.pin(pad).net.known()) nets.insert(machine.pin(pad).net);
  std::vector<std::string> hang, shares, loose, out;
  for (const board::NetId net : nets)
    for (const PinId pin : machine.net(net).pins)
      if (std::find(pads.begin(), pads.end(), pin) == pads.end() && machine.part(machine.pin(pin).part).fitted) hang.push_back(machine.long_name_of(pin));
  for (std::size_t i = 0; i < machine.functions().size(); ++i)
    for (const board::Need& need : machine.functions()[i].needs)
      if (board::FunctionId(i) != id && need.pin.known() && nets.count(machine.pin(need.pin).net) != 0) shares.push_back(machine.functions()[i].title);
  std::set<PinId> near;
  for (const PinId pad : pads)
    for (const PinId pin : beside(pad, machine)) near.insert(pin);
  for (const PinId pin : near)
    if (std::find(pads.begin(), pads.end(), pin) == pads.end()) loose.push_back(pin_and_net(pin, machine));
  if (!hang.empty()) out.push_back("On the same pads hang: " + named_some(hang) + ".");
  shares.erase(std::unique(shares.begin(), shares.end()), shares.end());
  if (!shares.empty()) out.push_back("The same pads serve, and stay wanted: " + named_some(shares) + ".");
  std::vector<std::string> pad_names;
  for (const PinId pad : pads) pad_names.push_back(pin_and_net(pad, machine));
  if (!loose.empty()) out.push_back(fmt::format("A loose end at {} could short to {}. Cut it short or fix it, and cover it, before the next power-on.", named_some(pad_names), named_some(loose)));
  return out;
}

std::vector<std::string> about_want(Sitting& sitting, const std::string& typed) {
  const job::Want want = job::parse_want(typed).value();
  const board::FunctionId id = read_function(want.function, sitting.machine()).value();
  const board::Function& function = sitting.machine().function(id);
  if (want.yes) return {function.title + ": wanted again; it is back on the proof list."};
  std::vector<std::string> out = {fmt::format("Set aside: {}. It isn't tried or hunted any more, nor is what touches nothing else.", function.title)};
  for (std::string& line : about_pads(id, sitting.machine())) out.push_back(std::move(line));
  return out;
}

/// Titles of what this part does most often wrong, likeliest first.
std::vector<std::string> ways_to_fail(Sitting& sitting, fault::SiteId site) {
  std::vector<std::pair<double, std::string>> order;
  const auto odds = sitting.odds();
  const auto& catalogue = sitting.model().catalogue();
  for (const fault::FaultId fault : catalogue.faults_at(site)) {
    const fault::Fault& one = catalogue.fault(fault);
    if (one.mode == fault::kUnlisted || one.mode == fault::kDrawingWrong || one.mode == fault::kJointOpen) continue;
    std::string title = mode_title(fault, catalogue, sitting.machine());
    title = title.substr(0, title.find(" at "));
    order.emplace_back(odds ? -odds->log_odds[fault.index()] : 0, title);
  }
  std::stable_sort(order.begin(), order.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  std::vector<std::string> out;
  for (const auto& [cost, title] : order)
    if (out.size() < kMostModes && std::find(out.begin(), out.end(), title) == out.end()) out.push_back(title);
  return out;
}

}  // namespace

std::vector<std::string> functions_through(Sitting& sitting, board::PartId part) {
  const Machine& machine = sitting.machine();
  const auto functions = plan::all_functions(machine);
  const auto through = plan::influence_of_parts(sitting.model().predictor(), {part}, functions).front();
  std::vector<board::FunctionId> touched;
  for (std::size_t i = 0; i < functions.size(); ++i)
    if (through[i]) touched.push_back(functions[i]);
  if (!touched.empty() && touched.size() == machine.functions().size()) return {"everything"};
  std::vector<std::string> out;
  std::size_t keys = 0;
  for (const board::FunctionId id : touched) {
    if (machine.function(id).held) ++keys;
    else out.push_back(machine.function(id).title);
  }
  if (keys > 0 && keys <= kKeysNamed)
    for (const board::FunctionId id : touched)
      if (machine.function(id).held) out.push_back(machine.function(id).title);
  if (keys > kKeysNamed) out.push_back(report::counted(keys, "key"));
  return out;
}

ResidualRisk residual_risk(Sitting& sitting, board::PartId part) {
  const auto site = sitting.model().catalogue().site_of_part(part);
  return {site ? ways_to_fail(sitting, *site) : std::vector<std::string>(), functions_through(sitting, part)};
}

namespace {

std::vector<std::string> about_left(Sitting& sitting, const std::string& typed) {
  const job::Left left = job::parse_left(typed).value();
  const board::PartId part = sitting.machine().find_part(left.part).value();
  std::vector<std::string> out = {fmt::format("{} stays as it is: {}. It goes into the report and the proof list; nothing is proposed to mend it.", sitting.machine().part(part).ref, left.why)};
  const auto [ways, through] = residual_risk(sitting, part);
  if (!ways.empty()) out.push_back("What it can still do: " + join(ways, ", ") + ".");
  out.push_back(through.empty() ? "No function hangs on it in the model." : "Watch, after an hour's running and when it comes back: " + named_some(through) + ".");
  for (const std::string& line : handling(part, sitting.machine())) out.push_back("Caution: " + line);
  return out;
}

std::vector<std::string> about_cannot(const Sitting& sitting, const std::string& typed) {
  const std::string thing(trim(std::string_view(typed).substr(0, typed.find(':'))));
  const auto read = read_cannot(typed, sitting.machine());
  const std::string name = read && !read->points.empty() ? observe::describe(read->points.front(), sitting.machine()) : thing;
  return {fmt::format("Out of reach for this job: {}. halfsplit undo takes it back.", name)};
}

}  // namespace

Result<std::string> settle(Sitting& sitting, LineKind kind, const std::string& typed) {
  const Machine& machine = sitting.machine();
  const auto line = job::make_line(kind, typed);
  if (!line) return line.error();
  if (kind == LineKind::want) {
    const auto function = read_function(job::parse_want(line->typed)->function, machine);
    return function ? Result<std::string>(line->typed) : function.error();
  }
  if (kind == LineKind::leave) {
    const auto part = machine.find_part(job::parse_left(line->typed)->part);
    return part ? Result<std::string>(line->typed) : part.error();
  }
  const auto read = read_cannot(line->typed, machine);
  if (read) return line->typed;
  // One word, or words before a colon, were meant as a place; a sentence speaks of what was just proposed.
  const bool sentence = words(line->typed).size() > 1 && line->typed.find(':') == std::string::npos;
  if (!sentence) return read.error();
  const auto now = next(sitting, 1);
  if (!now) return now.error();
  if (now->tests.empty()) return usage(fmt::format("{} names no place, and nothing is proposed that it could speak of", in_quotes(typed)), "type the place first: cannot U5.8: under the shield");
  return fmt::format("{}: {}", now->tests.front().point, line->typed);
}

std::vector<std::string> consequences(Sitting& sitting, LineKind kind, const std::string& typed) {
  if (kind == LineKind::want) return about_want(sitting, typed);
  if (kind == LineKind::leave) return about_left(sitting, typed);
  if (kind == LineKind::cannot) return about_cannot(sitting, typed);
  return {};
}

std::vector<std::string> settled(const Sitting& sitting, LineKind kind) {
  std::vector<std::string> out;
  const Choices choices = choices_of(sitting.options(), sitting.machine());
  if (kind == LineKind::want)
    for (const board::FunctionId id : choices.set_aside) out.push_back("Set aside: " + sitting.machine().function(id).title);
  if (kind == LineKind::leave)
    for (const LeftDefect& left : choices.left) out.push_back(fmt::format("Stays: {}, {}", sitting.machine().part(left.part).ref, left.why));
  if (kind == LineKind::cannot)
    for (const std::string& line : sitting.options().cannot) out.push_back("Out of reach: " + line);
  if (out.empty()) out.push_back(kind == LineKind::want ? "Every function is wanted." : kind == LineKind::leave ? "No defect stays." : "Nothing is out of reach.");
  return out;
}

std::vector<PinId> beside(PinId pin, const Machine& machine) {
  const board::NetId own = machine.pin(pin).net;
  const board::Part& part = machine.part(machine.pin(pin).part);
  std::set<PinId> out;
  const auto take = [&](std::size_t index) {
    if (index >= part.pin_count) return;
    const PinId other(part.first_pin.index() + index);
    if (machine.pin(other).net.known() && machine.pin(other).net != own) out.insert(other);
  };
  const std::size_t index = machine.pin(pin).index;
  if (index > 0) take(index - 1);
  take(index + 1);
  if (const auto& here = machine.pin(pin).at)
    for (std::size_t i = 0; i < machine.pins().size(); ++i) {
      const auto& there = machine.pins()[i].at;
      if (there && machine.pins()[i].net.known() && machine.pins()[i].net != own && std::hypot(there->x_mm - here->x_mm, there->y_mm - here->y_mm) <= kLooseEndMm) out.insert(PinId(i));
    }
  return {out.begin(), out.end()};
}

Result<report::Next> next_without(Desk& desk, const std::vector<std::string>& cannot, std::size_t tests) {
  if (!cannot.empty()) {
    auto sitting = desk.sit();
    if (!sitting) return sitting.error();
    for (const std::string& one : cannot)  // all are understood, or none is kept
      if (const auto line = settle(**sitting, LineKind::cannot, one); !line) return line.error();
  }
  for (const std::string& one : cannot)
    if (const auto entered = enter(desk, LineKind::cannot, one); !entered) return entered.error();
  auto sitting = desk.sit();
  if (!sitting) return sitting.error();
  auto answer = next(**sitting, tests);
  if (!answer) return answer.error();
  if (const auto shop = desk.workshop()) CautionMemory(**shop, (*sitting)->job().id, desk.now()).shorten(*answer, tests);
  return answer;
}

}  // namespace halfsplit::app
