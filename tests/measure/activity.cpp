// tests/measure/activity.cpp - the activity engine on a whole board: what the health check names, bus cycles, what tells faults apart, agreement, time.
//
// Usage:    measure_activity DATA BOARD [BOM] [AMEND] [--list]   (DATA holds shared/parts and boards; BOARD is a machine folder or a net list, .ipc or
//           .csv; BOM ends in .bom.csv, AMEND in .amend; --list names the faults that look the same everywhere)
// Output:   one line a row; exit 1 when a target is missed, 77 without input. Without BOARD the Home 8 alone is measured; with it both are.
#include <fmt/core.h>

#include <algorithm>
#include <cstdlib>
#include <ctime>
#include <filesystem>
#include <map>
#include <set>
#include <string>
#include <vector>

#include "base/document.h"
#include "base/random.h"
#include "base/text.h"
#include "board/amendment.h"
#include "board/spec.h"
#include "logic/health.h"
#include "measure/faults.h"
#include "netlist/import.h"
#include "netlist/ipc356.h"
#include "netlist/net_csv.h"

using namespace halfsplit;
using logic::Look;
using logic::Overlay;
using logic::Word64;

namespace {

template <class T>
T take(Result<T> result) {
  if (!result.ok()) {
    fmt::print(stderr, "{}\n", result.error().text());
    std::exit(3);
  }
  return std::move(result).value();
}
double cpu_s() { return static_cast<double>(std::clock()) / CLOCKS_PER_SEC; }

/// Prints rows and remembers whether a target was missed.
class Rows {
 public:
  explicit Rows(std::string board) : board_(std::move(board)) {}
  void tell(const std::string& what, const std::string& figure) { fmt::print("{:<14} {:<34} {}\n", board_, what, figure); }
  void gate(const std::string& what, const std::string& figure, const std::string& target, bool met) {
    fmt::print("{:<14} {:<34} {}  (target {}){}\n", board_, what, figure, target, met ? "" : "  MISSED");
    good_ = good_ && met;
    std::fflush(stdout);
  }
  bool good() const { return good_; }

 private:
  std::string board_;
  bool good_ = true;
};

struct Input { std::string name, board, bom, amend; };

board::MachineSpec load(const Input& input, const parts::Library& library) {
  if (std::filesystem::is_directory(input.board)) return take(board::load_spec(input.board));
  const auto bytes = take(read_file(input.board));
  const auto file = ends_with(input.board, ".csv") ? take(netlist::read_net_csv(bytes, input.board)) : take(netlist::read_ipc356(bytes, input.board));
  if (input.bom.empty()) return netlist::import_board(file, nullptr, library, {"imported", ""}).spec;
  const auto bom = take(netlist::read_bom(take(read_file(input.bom)), input.bom));
  return netlist::import_board(file, &bom, library, {"imported", ""}).spec;
}

using Amendments = std::vector<board::Amendment>;
std::shared_ptr<const board::Machine> build(const board::MachineSpec& spec, const Amendments& lines, const std::shared_ptr<const parts::Library>& library) {
  return take(board::build(take(board::amend(spec, lines, *library)), library));
}

std::vector<board::Finding> complaints(const logic::Activity& activity) {
  auto found = logic::health(activity);
  std::erase_if(found, [](const auto& f) { return f.grade == board::Finding::Grade::note; });
  return found;
}

/// As published: every line of the check, and whether each amendment left out alone is noticed.
void published(Rows& rows, const board::MachineSpec& spec, const Amendments& amendments, const std::shared_ptr<const parts::Library>& library) {
  const auto found = complaints(*logic::Activity::build(*build(spec, {}, library)));
  for (const auto& f : found) rows.tell("  named as published", f.kind + ": " + f.message);
  std::set<std::string> left;
  for (const auto& f : complaints(*logic::Activity::build(*build(spec, amendments, library)))) left.insert(f.message);
  std::size_t noticed = 0;
  for (std::size_t i = 0; i < amendments.size(); ++i) {
    Amendments others = amendments;
    others.erase(others.begin() + static_cast<std::ptrdiff_t>(i));
    std::string named;
    for (const auto& f : complaints(*logic::Activity::build(*build(spec, others, library))))
      if (left.count(f.message) == 0 && named.empty()) named = f.kind + ": " + f.message;
    const bool drawn_so = board::same(take(board::amend(spec, others, *library)), take(board::amend(spec, amendments, *library)));
    noticed += drawn_so || !named.empty();
    rows.tell("  without '" + amendments[i].typed + "'", drawn_so ? "the importer takes it so already" : named.empty() ? "nothing new is named" : named);
  }
  rows.gate("amendments noticed when left out", fmt::format("{} of {}", noticed, amendments.size()), "all", noticed == amendments.size());
  rows.gate("lines as published", std::to_string(found.size()), fmt::format("at most {}", amendments.size() + 6), found.size() <= amendments.size() + 6);
}

void sound(Rows& rows, const logic::Activity& activity) {
  std::map<std::string, int> kinds;
  for (const auto& f : complaints(activity)) {
    const bool lone = f.kind == "floating-input" && std::all_of(f.pins.begin(), f.pins.end(), [&](board::PinId p) { return !activity.machine().pin(p).net.known(); });
    ++kinds[lone ? "left unconnected" : f.kind];
    rows.tell("  named", f.kind + ": " + f.message);
  }
  const auto gate = [&](const std::string& what, std::initializer_list<const char*> wanted) {
    int count = 0;
    for (const char* kind : wanted) count += kinds[kind];
    rows.gate(what, std::to_string(count), "0", count == 0);
  };
  gate("fights", {"fight"});
  gate("floating inputs", {"floating-input", "no-clock"});
  gate("undriven samples, deaf writes", {"undriven-sample", "never-selected", "unheard-write", "same-row-and-column"});
  gate("functions not good", {"function-not-good"});
  rows.tell("inputs that the drawing leaves open", std::to_string(kinds["left unconnected"]));
  const auto& m = activity.machine();
  rows.tell("functions", std::to_string(m.functions().size()));
}

/// Phase in which each strobe of a memory or latch begins, of the cycles in which it begins at all: "2" or "1 2".
std::string phases_of(const logic::Network& n, logic::NodeId node) {
  std::set<std::uint32_t> begins;
  for (const auto& cycle : n.cycles)
    for (std::uint32_t p = 0; p < cycle.phases; ++p) {
      const std::uint32_t slot = cycle.first_slot + p;
      const auto high = [&](std::uint32_t s) { return (n.healthy(node, s / 64).high >> (s % 64)) & 1; };
      if (high(slot) && (p == 0 || !high(slot - 1))) begins.insert(p);
    }
  std::vector<std::string> out;
  for (const auto p : begins) out.push_back(std::to_string(p));
  return out.empty() ? "never" : join(out, " ");
}

void cycles(Rows& rows, const logic::Activity& activity, double seconds) {
  const auto& n = activity.network();
  std::vector<std::string> names;
  std::size_t sole = 0;
  for (const auto& c : n.cycles) {
    names.push_back(c.name);
    sole += c.responders <= 1;
  }
  rows.tell("bus cycles", join(names, ", "));
  rows.gate("one driver or one listener", fmt::format("{} of {} cycles, {} transfers swept, {} slots", sole, n.cycles.size(), activity.prepared().swept, n.slot_count), "all", sole == n.cycles.size());
  rows.gate("compiled, swept, settled", fmt::format("{:.0f} ms", seconds * 1e3), "100 ms", seconds <= 0.1);
  std::set<std::string> told;
  bool in_order = true;
  for (const auto& s : n.sampled) {
    const std::string row = phases_of(n, s.row.node), column = phases_of(n, s.column.node);
    in_order = in_order && row < column;
    told.insert("row in phase " + row + ", column in phase " + column);
  }
  for (const auto& s : n.storages) {
    const auto& strobe = s.write ? s.write : s.clock;
    if (!strobe || !s.healthy_moves || s.bit != 0) continue;
    const std::string begins = phases_of(n, strobe->node);
    if (s.kind == logic::Storage::Kind::content) {
      told.insert(activity.machine().parts()[s.part].ref + " written in phase " + begins);
      in_order = in_order && begins.find('0') == std::string::npos;
    }
  }
  rows.gate("strobes' phases", join({told.begin(), told.end()}, "; "), "row before column, writes behind the clock", in_order);
}

board::Setup held(board::PartId key) {
  board::Action action;
  action.kind = board::Action::Kind::hold;
  action.part = key;
  return board::Setup({action});
}
std::vector<Look> functions(const board::Machine& m) {
  std::vector<Look> out;
  for (std::uint32_t i = 0; i < m.functions().size(); ++i)
    if (!m.functions()[i].held) out.push_back({Look::Kind::function, i, 0});
  return out;
}
std::vector<Look> legs(const board::Machine& m, std::initializer_list<Look::Kind> kinds, std::uint32_t slots) {
  std::vector<Look> out;
  for (const auto kind : kinds)
    for (std::uint32_t i = 0; i < m.pins().size(); ++i)
      for (std::uint32_t s = 0; s < slots && m.pins()[i].net.known(); ++s) out.push_back({kind, i, s});
  return out;
}
std::vector<Look> nets(const board::Machine& m, Look::Kind kind) {
  std::vector<Look> out;
  for (std::uint32_t i = 0; i < m.nets().size(); ++i) out.push_back({kind, i, 0});
  return out;
}

/// What tells the faults apart, look by look: classes by functions, by functions and probe, and so on.
class Classes {
 public:
  Classes(const logic::Activity& activity, const std::vector<const fault::Fault*>& faults) : activity_(activity), faults_(faults), key_(faults.size(), 0), healthy_(0) {}
  /// Adds looks, in a setup, and counts the classes there are now.
  std::size_t split(const std::vector<Look>& looks, const board::Setup& setup = {}) {
    constexpr std::size_t kBatch = 32;
    std::vector<std::uint8_t> answers((kBatch + 1) * looks.size());
    std::uint64_t base = 0;
    for (std::size_t at = 0; at < faults_.size(); at += kBatch) {
      std::vector<Overlay> overlays{Overlay{&setup, {}, {}}};
      for (std::size_t i = at; i < std::min(faults_.size(), at + kBatch); ++i) overlays.push_back({&setup, {faults_[i]}, {}});
      activity_.look(overlays, looks, answers.data());
      base = hash(healthy_, answers.data(), looks.size());
      for (std::size_t i = 1; i < overlays.size(); ++i) key_[at + i - 1] = hash(key_[at + i - 1], answers.data() + i * looks.size(), looks.size());
    }
    healthy_ = base;
    return std::set<std::uint64_t>(key_.begin(), key_.end()).size();
  }
  bool latent(std::size_t i) const { return key_[i] == healthy_; }
  const std::vector<std::uint64_t>& keys() const { return key_; }

 private:
  static std::uint64_t hash(std::uint64_t seed, const std::uint8_t* bytes, std::size_t count) {
    std::uint64_t h = seed * 0x9e3779b97f4a7c15ull + 0x1234567;
    for (std::size_t i = 0; i < count; ++i) h = (h ^ bytes[i]) * 0x100000001b3ull, h ^= h >> 29;
    return h;
  }
  const logic::Activity& activity_;
  const std::vector<const fault::Fault*>& faults_;
  std::vector<std::uint64_t> key_;
  std::uint64_t healthy_;
};

/// A switch's contacts are seen with the switch pressed.
bool shows_when_pressed(const logic::Activity& activity, const fault::Fault& f) {
  if (!f.site.part.known()) return false;
  const auto setup = held(f.site.part);
  const auto looks = nets(activity.machine(), Look::Kind::net);
  std::vector<std::uint8_t> answers(2 * looks.size());
  activity.look({{&setup, {}, {}}, {&setup, {&f}, {}}}, looks, answers.data());
  return !std::equal(answers.begin(), answers.begin() + static_cast<std::ptrdiff_t>(looks.size()), answers.begin() + static_cast<std::ptrdiff_t>(looks.size()));
}

void distinct(Rows& rows, const logic::Activity& activity, const fault::Catalogue& catalogue, const std::vector<fault::FaultId>& ids, bool list) {
  const auto& m = activity.machine();
  const auto& n = activity.network();
  std::vector<const fault::Fault*> faults;
  for (const auto id : ids) faults.push_back(&catalogue.fault(id));
  Classes classes(activity, faults);
  const auto gate = [&](const std::string& what, std::size_t found, std::size_t wanted) { rows.gate(what, fmt::format("{} of {}", found, faults.size()), std::to_string(wanted), found >= wanted); };
  rows.gate("single faults", std::to_string(faults.size()), "1600", faults.size() >= 1600);
  std::size_t by_function = classes.split(functions(m));
  for (std::uint32_t i = 0; i < m.functions().size(); ++i)
    if (m.functions()[i].held) by_function = classes.split({{Look::Kind::function, i, 0}}, held(*m.functions()[i].held));
  rows.gate(fmt::format("distinct by {} functions", m.functions().size()), fmt::format("{} of {}", by_function, faults.size()), "22", by_function >= 22);
  auto probe = legs(m, {Look::Kind::leg}, 1);
  for (const auto& look : nets(m, Look::Kind::net)) probe.push_back(look);
  gate("and by probe", classes.split(probe), 970);
  gate("and by triggered looks", classes.split(legs(m, {Look::Kind::slot}, n.slot_count)), 1370);
  auto content = legs(m, {Look::Kind::content}, static_cast<std::uint32_t>(n.cycles.size()));
  for (const auto& look : legs(m, {Look::Kind::stored}, 1)) content.push_back(look);
  gate("and by content", classes.split(content), 1440);
  std::size_t hidden = 0;
  std::map<std::string, std::vector<std::string>> why;
  for (std::size_t i = 0; i < faults.size(); ++i) {
    if (!classes.latent(i) || shows_when_pressed(activity, *faults[i])) continue;
    ++hidden;
    why[measure::reason(activity, *faults[i])].push_back(catalogue.describe(ids[i], m));
  }
  rows.gate("latent", fmt::format("{} ({:.1f} %)", hidden, 100.0 * static_cast<double>(hidden) / static_cast<double>(faults.size())), "10 %", hidden * 10 <= faults.size());
  for (const auto& [reason, which] : why) rows.tell("  latent, " + reason, fmt::format("{}: {}", which.size(), join(which, "; ")));
  if (!list) return;
  std::map<std::uint64_t, std::vector<std::string>> together;
  for (std::size_t i = 0; i < faults.size(); ++i) if (!classes.latent(i)) together[classes.keys()[i]].push_back(catalogue.describe(ids[i], m));
  for (const auto& [key, which] : together)
    if (which.size() > 1) rows.tell("  same in every look", join(which, "; "));
}

void agreement(Rows& rows, const logic::Activity& activity, const fault::Catalogue& catalogue, const std::vector<fault::FaultId>& ids) {
  const auto& m = activity.machine();
  Random random(4000);
  std::vector<Overlay> overlays{Overlay{}};
  for (const auto id : ids) overlays.push_back({nullptr, {&catalogue.fault(id)}, {}});
  for (int i = 0; i < 4000; ++i) {
    const auto &a = catalogue.fault(ids[random.below(ids.size())]), &b = catalogue.fault(ids[random.below(ids.size())]);
    overlays.push_back({nullptr, {&a, &b}, {}});
  }
  std::vector<Look> looks = functions(m);
  for (const auto& more : {nets(m, Look::Kind::net), nets(m, Look::Kind::stored_net), legs(m, {Look::Kind::leg}, 1), legs(m, {Look::Kind::stored}, 1)}) looks.insert(looks.end(), more.begin(), more.end());
  for (std::uint32_t i = 0; i < m.nets().size(); ++i)
    if (!m.nets()[i].pins.empty())
      for (std::uint32_t s = 0; s < activity.network().slot_count; ++s) looks.push_back({Look::Kind::slot, m.nets()[i].pins.front().index(), s});
  std::size_t differ = 0;
  constexpr std::size_t kBatch = 256;
  for (std::size_t at = 0; at < overlays.size(); at += kBatch) {
    const std::vector<Overlay> part(overlays.begin() + static_cast<std::ptrdiff_t>(at), overlays.begin() + static_cast<std::ptrdiff_t>(std::min(overlays.size(), at + kBatch)));
    std::vector<std::uint8_t> packed(part.size() * looks.size()), warm(packed.size()), cold(packed.size());
    activity.look(part, looks, packed.data());
    activity.look_unpacked(part, looks, warm.data(), logic::Start::healthy);
    activity.look_unpacked(part, looks, cold.data(), logic::Start::cold);
    for (std::size_t i = 0; i < packed.size(); ++i) {
      const bool unlike = packed[i] != warm[i] || warm[i] != cold[i];
      if (unlike && differ == 0) {
        const Look& look = looks[i % looks.size()];
        std::string who;
        for (const auto* f : part[i / looks.size()].faults) who += f->mode + " at " + (f->pin.known() ? m.name_of(f->pin) : m.part(f->site.part).ref) + "; ";
        rows.tell("  first difference", fmt::format("{}look kind {} id {} slot {}: packed {} from healthy {} cold {}", who, static_cast<int>(look.kind), look.id, look.slot, packed[i], warm[i], cold[i]));
      }
      differ += unlike;
    }
  }
  rows.gate("packed, from healthy, cold differ in", fmt::format("{} answers of {} hypotheses x {} looks", differ, overlays.size(), looks.size()), "0", differ == 0);
}

void times(Rows& rows, const logic::Activity& activity, const fault::Catalogue& catalogue, const std::vector<fault::FaultId>& ids) {
  std::vector<Overlay> overlays;
  for (const auto id : ids) overlays.push_back({nullptr, {&catalogue.fault(id)}, {}});
  const auto each_us = [&](auto run) {
    run();
    double best = 1e9;
    for (int i = 0; i < 5; ++i) {
      const double start = cpu_s();
      run();
      best = std::min(best, cpu_s() - start);
    }
    return best * 1e6 / static_cast<double>(overlays.size());
  };
  const double unpacked = each_us([&] { activity.look_unpacked(overlays, {}, nullptr, logic::Start::healthy); });
  const double cold = each_us([&] { activity.look_unpacked(overlays, {}, nullptr, logic::Start::cold); });
  const double packed = each_us([&] { activity.look(overlays, {}, nullptr); });
  rows.tell("all slots, cold", fmt::format("{:.1f} us a hypothesis", cold));
  rows.gate("all slots, unpacked", fmt::format("{:.1f} us a hypothesis", unpacked), "40", unpacked <= 40);
  rows.gate("all slots, packed", fmt::format("{:.1f} us a hypothesis", packed), "10", packed <= 10);
}

bool measure_board(const Input& input, const std::shared_ptr<const parts::Library>& library, bool list) {
  const auto spec = load(input, *library);
  Rows rows(input.name);
  const Amendments amendments = input.amend.empty() ? Amendments{} : take(board::parse_amendments(take(read_file(input.amend)), input.amend));
  if (!amendments.empty()) published(rows, spec, amendments, library);
  const auto machine = build(spec, amendments, library);
  rows.tell("size", fmt::format("{} parts, {} nets, {} pins", machine->parts().size(), machine->nets().size(), machine->pins().size()));
  (void)logic::Activity::build(*machine);
  const double start = cpu_s();
  const auto activity = logic::Activity::build(*machine);
  const double seconds = cpu_s() - start;
  sound(rows, *activity);
  cycles(rows, *activity, seconds);
  const auto catalogue = fault::Catalogue::build(*machine);
  const auto ids = measure::logic_faults(*activity, catalogue);
  distinct(rows, *activity, catalogue, ids, list);
  times(rows, *activity, catalogue, ids);
  agreement(rows, *activity, catalogue, ids);
  return rows.good();
}

}  // namespace

int main(int argc, char** argv) {
  std::vector<std::string> words;
  Input given;
  bool list = false;
  for (int i = 1; i < argc; ++i) {
    const std::string word = argv[i];
    if (word == "--list") list = true;
    else if (ends_with(word, ".amend")) given.amend = word;
    else if (ends_with(word, ".bom.csv")) given.bom = word;
    else words.push_back(word);
  }
  if (words.empty() || !std::filesystem::exists(words[0] + "/shared/parts") || (words.size() > 1 && !std::filesystem::exists(words[1]))) {
    fmt::print("skipped: no input\n");
    return 77;
  }
  const auto library = take(parts::Library::open(words[0] + "/shared/parts"));
  bool good = true;
  if (words.size() > 1) {
    given.board = words[1];
    given.name = "board";
    good = measure_board(given, library, list);
  }
  Input own;
  own.board = words[0] + "/boards/osprill-home-8";
  own.name = "Home 8";
  good = measure_board(own, library, list) && good;
  return good ? 0 : 1;
}
