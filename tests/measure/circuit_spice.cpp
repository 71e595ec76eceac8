// tests/measure/circuit_spice.cpp - the electrical engine against ngspice with the same laws: invented circuits, healthy and under every single fault.
//
// Usage:    measure_circuit_spice DATA [CIRCUIT]   (DATA holds shared/parts; CIRCUIT: one of them only)
// Output:   one line a circuit: points compared, share within 1 mV and 0.1 % and 1 ohm's hundredth, the largest differences, unsolved ones. Exit 1
//           when a target is missed, 77 where ngspice is not installed.
#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>
#include <string>

#include <unistd.h>

#include "board/spec.h"
#include "circuit/meter.h"
#include "measure/circuits.h"
#include "measure/spice_deck.h"

using namespace halfsplit;
using namespace halfsplit::circuit;

namespace {

/// Runs a deck; the values of the printed vectors in order, empty when ngspice found no point.
std::vector<double> run(const std::string& deck) {
  const auto file = std::filesystem::temp_directory_path() / fmt::format("halfsplit_spice_{}.cir", ::getpid());
  std::ofstream(file) << deck;
  FILE* pipe = ::popen(("ngspice -b " + file.string() + " 2>&1").c_str(), "r");
  std::string text;
  char part[4096];
  for (std::size_t got = 0; pipe && (got = std::fread(part, 1, sizeof part, pipe)) > 0;) text.append(part, got);
  if (pipe) ::pclose(pipe);
  std::filesystem::remove(file);
  std::vector<double> out;
  for (std::size_t at = text.find("value_"); at != std::string::npos; at = text.find("value_", at + 1)) {
    const std::size_t equals = text.find('=', at);
    if (equals == std::string::npos) break;
    out.push_back(std::strtod(text.c_str() + equals + 1, nullptr));
  }
  if (text.find("failed") != std::string::npos || text.find("aborted") != std::string::npos) return {};
  return out;
}

struct Figures {
  std::size_t compared = 0, within = 0, lost = 0, unsolved = 0;
  double largest = 0;
  std::string where;
  void add(double difference, double allowed, const std::string& name) {
    ++compared;
    within += difference <= allowed;
    if (difference > largest) largest = difference, where = name;
  }
  double share() const { return compared ? 100.0 * static_cast<double>(within) / static_cast<double>(compared) : 100; }
};

class Comparison {
 public:
  explicit Comparison(std::shared_ptr<const board::Machine> machine) : machine_(std::move(machine)), levels_(machine_->nets().size(), Drive::off) {
    constexpr Drive kTurns[] = {Drive::low, Drive::high, Drive::moving, Drive::off};
    for (std::size_t i = 0; i < levels_.size(); ++i) levels_[i] = kTurns[i % 4];
    on_ = elaborate(*machine_);
    off_ = on_;
    set_levels(on_, levels_);
    switch_off(off_);
    meter_ = std::make_unique<Meter>(*machine_, levels_, 0.0);
    for (std::size_t i = 0; i < machine_->nets().size(); ++i)
      if (*on_.net_node[i] != kGround) points_.push_back({*on_.net_node[i], kGround});
    for (std::size_t p = 0; p < machine_->parts().size(); ++p)
      if (machine_->parts()[p].type->rate_class == "resistor" && machine_->parts()[p].pin_count == 2)
        across_.push_back({*on_.pin_node[machine_->pin_of(board::PartId(p), 0).index()], *on_.pin_node[machine_->pin_of(board::PartId(p), 1).index()]});
  }
  void all() {
    const Levels none(levels_.size(), Drive::off);
    one({}, "healthy", none);
    const auto catalogue = fault::Catalogue::build(*machine_);
    for (std::size_t f = 0; f < catalogue.size(); ++f) {
      const fault::Fault& it = catalogue.faults()[f];
      if (is_modelled(it) && acts_on_circuit(it)) one({nullptr, {&it}, nullptr}, catalogue.describe(fault::FaultId(f), *machine_), none);
    }
  }
  Figures volts, ohms;

 private:
  void one(const Condition& condition, const std::string& name, const Levels& none) {
    const auto read = meter_->volts(condition, 1, points_);
    Deck deck(on_.network, burnt(overlay(on_, condition, 1, levels_, true)));
    for (std::size_t k = 0; k < points_.size(); ++k) deck.line("RM{} {} 0 1e15", k, Deck::name(points_[k].plus));
    deck.line(".control\nset numdgt=12");
    for (std::size_t k = 0; k < points_.size(); ++k)
      deck.line("alter rm{0}=10meg\nop\nlet value_{0}=v({1})\nprint value_{0}\nalter rm{0}=1e15", k, Deck::name(points_[k].plus));
    deck.line(".endc\n.end");
    const auto truth = run(deck.text());
    if (truth.size() != points_.size()) ++volts.lost;
    for (std::size_t k = 0; truth.size() == points_.size() && k < points_.size(); ++k) {
      if (!read[k].known) ++volts.unsolved;
      else volts.add(std::abs(read[k].value - truth[k]), 1e-3, name);
    }
    Deck off(off_.network, overlay(off_, condition, 1, none, false));
    std::vector<Reading> told;
    for (const Tips& tips : across_) told.push_back(meter_->ohms(condition, 1, tips));
    for (std::size_t k = 0; k < across_.size(); ++k)
      off.line("VM{0} m{0} {1} {2}\nRM{0} m{0} {3} 1e15", k, Deck::name(across_[k].minus), kOhmsVolts, Deck::name(across_[k].plus));
    off.line(".control\nset numdgt=12");
    for (std::size_t k = 0; k < across_.size(); ++k)
      off.line("alter rm{0}={1:.9e}\nop\nlet value_{0}={2}\nprint value_{0}\nalter rm{0}=1e15", k, told[k].own_ohm, across(across_[k]));
    off.line(".endc\n.end");
    const auto still = run(off.text());
    if (still.size() != across_.size()) ++ohms.lost;
    for (std::size_t k = 0; still.size() == across_.size() && k < across_.size(); ++k) {
      if (!told[k].known) ++ohms.unsolved;
      if (!told[k].known || told[k].over) continue;
      const double value = still[k] / ((kOhmsVolts - still[k]) / told[k].own_ohm);
      ohms.add(std::abs(told[k].value - value) / std::max(1.0, value), 1e-3, name);
    }
  }
  static std::string across(Tips tips) {
    std::string out = tips.plus == kGround ? "0" : "v(" + Deck::name(tips.plus) + ")";
    if (tips.minus != kGround) out += "-v(" + Deck::name(tips.minus) + ")";
    return out;
  }
  /// With the fuses open that the fault blows, as the meter has them.
  Patch burnt(Patch patch) {
    Solver solver(on_.network);
    solver.solve(patch);
    for (const DeviceIndex d : solver.opened()) patch.changes.push_back({d, Resistor{1e-12, 0}});
    return patch;
  }

  std::shared_ptr<const board::Machine> machine_;
  Levels levels_;
  Circuit on_, off_;
  std::unique_ptr<Meter> meter_;
  std::vector<Tips> points_, across_;
};

}  // namespace

int main(int argc, char** argv) {
  if (argc < 2) return 2;
  if (std::system("ngspice --version > /dev/null 2>&1") != 0) {
    fmt::print("ngspice is not installed: nothing compared\n");
    return 77;
  }
  auto library = parts::Library::open(std::string(argv[1]) + "/shared/parts");
  if (!library.ok()) {
    fmt::print(stderr, "{}\n", library.error().text());
    return 77;
  }
  bool good = true;
  for (const measure::Typed& typed : measure::circuits()) {
    if (argc > 2 && typed.name != std::string(argv[2])) continue;
    auto machine = measure::build(typed, *library);
    if (!machine.ok()) {
      fmt::print(stderr, "{}\n", machine.error().text());
      return 3;
    }
    Comparison it(*machine);
    it.all();
    fmt::print("{:<12} volts {:5} points {:6.2f} % within 1 mV, largest {:.3g} V ({}), unsolved {}, ngspice without a point {}\n", typed.name, it.volts.compared, it.volts.share(), it.volts.largest, it.volts.where, it.volts.unsolved, it.volts.lost);
    fmt::print("{:<12} ohms  {:5} points {:6.2f} % within 0.1 %, largest {:.3g} % ({}), unsolved {}, ngspice without a point {}\n", typed.name, it.ohms.compared, it.ohms.share(), 100 * it.ohms.largest, it.ohms.where, it.ohms.unsolved, it.ohms.lost);
    std::fflush(stdout);
    good = good && it.volts.share() >= 99 && it.ohms.share() >= 99 && it.volts.unsolved == 0 && it.ohms.unsolved == 0;
  }
  return good ? 0 : 1;
}
