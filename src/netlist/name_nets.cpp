#include "netlist/name_nets.h"

#include <algorithm>
#include <unordered_map>
#include <unordered_set>

#include "base/text.h"
#include "netlist/names.h"

namespace halfsplit::netlist {

namespace {

constexpr std::size_t kFieldWidth = 14;

void count_marks(const Net& net, const NameHabits& habits, bool fixed_width, Deviations& deviations) {
  const NameMarks marks = marks_of(net.raw, habits);
  if (marks.escaped) deviations.add(DeviationKind::name_escaped, net.line);
  if (marks.sheet_path) deviations.add(DeviationKind::name_sheet_path, net.line);
  if (marks.made_unique) deviations.add(DeviationKind::name_made_unique, net.line);
  if (marks.suffixed) deviations.add(DeviationKind::name_suffixed, net.line);
  if (fixed_width && net.alias.empty() && net.raw.size() == kFieldWidth) deviations.add(DeviationKind::name_cut, net.line);
}

/// Capitals everywhere although the words of made-up names are written small by those who make them.
void count_upper_case(const std::vector<Net>& nets, Deviations& deviations) {
  const Net* witness = nullptr;
  for (const Net& net : nets) {
    if (net.raw != upper(net.raw)) return;
    const bool whole = starts_with(net.raw, "NET-(") || starts_with(net.raw, "UNCONNECTED-(");
    if (whole && witness == nullptr) witness = &net;
  }
  if (witness != nullptr) deviations.add(DeviationKind::names_upper_case, witness->line, 0, nets.size());
}

/// The pin a made-up net is named after: of the part in its name, else of the part with most pins.
PinAt naming_pin(const Netlist& netlist, const Net& net, const std::string& ref) {
  const std::string wanted = upper(ref);
  const auto before = [&](const PinAt& a, const PinAt& b) {
    const Part& x = netlist.part(a.part);
    const Part& y = netlist.part(b.part);
    const bool named_x = !wanted.empty() && upper(x.file_ref) == wanted, named_y = !wanted.empty() && upper(y.file_ref) == wanted;
    if (named_x != named_y) return named_x;
    if (x.pins.size() != y.pins.size()) return x.pins.size() > y.pins.size();
    if (x.ref != y.ref) return natural_less(x.ref, y.ref);
    return natural_less(x.pins[a.pin].number, y.pins[b.pin].number);
  };
  return *std::min_element(net.pins.begin(), net.pins.end(), before);
}

/// "Pin_7" says no more than the number does.
bool says_nothing(const std::string& pin_name) {
  const std::string small = lower(pin_name);
  if (!starts_with(small, "pin_")) return false;
  return small.size() > 4 && small.find_first_not_of("0123456789", 4) == std::string::npos;
}

void name_pin(Netlist& netlist, const Net& net, const MadeUpName& made_up) {
  if (made_up.pin_name.empty() || says_nothing(made_up.pin_name)) return;
  const std::string ref = upper(made_up.ref);
  Pin* only = nullptr;
  for (const PinAt at : net.pins) {
    Part& part = netlist.parts[at.part.index()];
    if (!ref.empty() && upper(part.file_ref) != ref) continue;
    Pin& pin = part.pins[at.pin];
    if (!made_up.pin_number.empty() && pin.number != made_up.pin_number) continue;
    if (only != nullptr) return;
    only = &pin;
  }
  const bool sure = !ref.empty() || net.pins.size() == 1;
  if (only != nullptr && sure && only->name.empty()) only->name = made_up.pin_name;
}

class UniqueNames {
 public:
  std::string take(const std::string& wanted) {
    std::string name = wanted;
    std::size_t& tried = tried_[lower(wanted)];
    while (used_.count(lower(name)) != 0) name = wanted + " (" + std::to_string(++tried + 1) + ")";
    used_.insert(lower(name));
    return name;
  }

 private:
  std::unordered_map<std::string, std::size_t> tried_;
  std::unordered_set<std::string> used_;
};

/// What a name would like to be called; the path comes in front where another net has the same leaf.
std::vector<std::string> wanted_names(const std::vector<ReadName>& read) {
  std::unordered_map<std::string, std::size_t> leaves;
  for (const ReadName& name : read) ++leaves[lower(name.leaf)];
  std::vector<std::string> wanted;
  for (const ReadName& name : read) {
    const bool shared = leaves[lower(name.leaf)] > 1 && !name.path.empty();
    wanted.push_back(shared ? name.path + "/" + name.leaf : name.leaf);
  }
  return wanted;
}

}  // namespace

void name_nets(Netlist& netlist, Deviations& deviations) {
  std::vector<std::string_view> raw;
  for (const Net& net : netlist.nets) raw.push_back(net.raw);
  const NameHabits habits = habits_of(raw);
  const bool fixed_width = netlist.units != Units::not_known;
  std::vector<ReadName> read;
  std::vector<std::optional<MadeUpName>> made_up;
  for (const Net& net : netlist.nets) {
    count_marks(net, habits, fixed_width, deviations);
    made_up.push_back(made_up_name(net.raw));
    // names of people claim their words first; a made-up name keeps out of the count of leaves
    read.push_back(made_up.back() && !net.pins.empty() ? ReadName{} : read_name(net.raw, habits));
  }
  count_upper_case(netlist.nets, deviations);
  const std::vector<std::string> wanted = wanted_names(read);
  UniqueNames unique;
  for (std::size_t i = 0; i < netlist.nets.size(); ++i) {
    Net& net = netlist.nets[i];
    net.made_up = made_up[i].has_value();
    if (!net.made_up || net.pins.empty()) net.name = unique.take(wanted[i].empty() ? net.raw : wanted[i]);
  }
  for (std::size_t i = 0; i < netlist.nets.size(); ++i) {
    Net& net = netlist.nets[i];
    if (!net.made_up || net.pins.empty()) continue;
    name_pin(netlist, net, *made_up[i]);
    const PinAt at = naming_pin(netlist, net, made_up[i]->ref);
    net.name = unique.take("net at " + netlist.part(at.part).ref + "." + netlist.pin(at).number);
    const bool unconnected = net.pins.size() == 1;
    if (unconnected) deviations.add(DeviationKind::unconnected_named, net.line);
  }
}

}  // namespace halfsplit::netlist
