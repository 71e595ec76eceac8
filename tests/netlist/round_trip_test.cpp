// Random boards, written with random habits of real programs, read back: the same grouping of pins, none lost.
#include <doctest/doctest.h>

#include <cmath>
#include <map>
#include <set>
#include <string>

#include "base/random.h"
#include "netlist/ipc356.h"
#include "netlist/net_csv.h"
#include "netlist/write_ipc356.h"

using namespace halfsplit;
using namespace halfsplit::netlist;

namespace {

std::string net_name(Random& random, std::size_t i) {
  static const char* kNames[] = {"GND", "+5V", "STROBE", "/KEYS/ROW", "A NAME WITH BLANKS", "~{OE}", "A_RATHER_LONG_NAME_OF_A_NET_THAT_DOES_NOT_FIT",
                                 "Net-(U1-Pad1)", "m0001", "NNAME00001", "N/C", "MEM{SLASH}OE", "\xcf\x95" "2", "A#1", "RAS\\", "STROBE#1", "unnamed", "A{1}"};
  const std::string base = kNames[random.below(std::size(kNames))];
  return random.chance(0.3) ? base : base + std::to_string(i);
}

std::string ref_name(Random& random, std::size_t i) {
  static const char* kHeads[] = {"U", "R", "C", "J5A100", "BANK ", "SW", "KEYBOARD/U", "*", "U-", "via"};
  return kHeads[random.below(std::size(kHeads))] + std::to_string(i);
}

Netlist random_board(std::uint64_t seed) {
  Random random(seed);
  Netlist board;
  board.title = "random";
  board.revision = "A";
  const std::size_t nets = 2 + random.below(30), parts = 4 + random.below(20);
  for (std::size_t i = 0; i < nets; ++i) {
    Net net;
    net.raw = net_name(random, i);
    for (std::uint64_t v = random.below(3); v > 0; --v) net.vias.push_back({20 + random.uniform() * 100, -random.uniform() * 100});
    board.nets.push_back(net);
  }
  for (std::size_t p = 0; p < parts; ++p) {
    Part part;
    part.ref = part.file_ref = ref_name(random, p);
    const std::size_t pins = 2 + random.below(20);
    const double x = 10 + 2.54 * static_cast<double>(random.below(40)), y = -10 - 10.16 * static_cast<double>(p);
    for (std::size_t i = 0; i < pins; ++i) {
      Pin pin;
      pin.number = random.chance(0.9) ? std::to_string(i + 1) : std::string(random.chance(0.5) ? "PIN LONG" : "A,") + std::to_string(i);
      if (random.chance(0.85)) pin.net = NetIndex(random.below(nets));
      const bool through = random.chance(0.8);
      for (std::size_t n = random.chance(0.05) ? 2 : 1; n > 0; --n) {
        Pad pad;
        pad.at = Point{x + 2.54 * static_cast<double>(i), y + 0.5 * static_cast<double>(n - 1)};
        pad.drill_mm = through ? 0.8 : 0;
        pad.plated = through;
        pad.side = through ? Side::both : (random.chance(0.5) ? Side::top : Side::bottom);
        pad.middle = random.chance(0.1);
        pad.width_mm = 1.6;
        pad.height_mm = random.chance(0.5) ? 1.6 : 1.5;
        pin.pads.push_back(pad);
      }
      part.pins.push_back(pin);
    }
    board.parts.push_back(part);
  }
  for (std::size_t h = random.below(3); h > 0; --h) board.holes.push_back({"H" + std::to_string(h), {}, Point{15, 15}, 3.2, false});
  if (random.chance(0.5)) {
    board.tracks.push_back({NetIndex(0), 1, 0.3, {{10, 10}, {20, 10}, {20, 30}}});
    board.neighbours.push_back({NetIndex(0), NetIndex(1)});
    board.outline.push_back({{0, 0}, {160, 0}, {160, 100}, {0, 100}, {0, 0}});
  }
  return board;
}

/// reference.pin -> a label of its group; pins on no net and alone on their net are groups of their own.
std::map<std::string, std::set<std::string>> grouping(const Netlist& netlist) {
  std::map<std::string, std::set<std::string>> groups;
  std::map<std::uint32_t, std::set<std::string>> members;
  for (const Part& part : netlist.parts)
    for (const Pin& pin : part.pins) {
      const std::string name = part.ref + "." + pin.number;
      groups[name] = {name};
      if (pin.net.known()) members[pin.net.index()].insert(name);
    }
  for (const auto& [net, names] : members)
    for (const std::string& name : names) groups[name] = names;
  return groups;
}

}  // namespace

TEST_CASE("clean files keep everything") {
  for (std::uint64_t seed = 1; seed <= 60; ++seed) {
    CAPTURE(seed);
    const Netlist board = random_board(seed);
    const std::string text = write_ipc356(board);
    CHECK(write_ipc356(board) == text);
    const Result<Netlist> back = read_ipc356(text, "clean.ipc");
    REQUIRE_MESSAGE(back.ok(), (back.ok() ? "" : back.error().text()));
    CHECK(grouping(*back) == grouping(board));
    CHECK(back->pad_count() == board.pad_count());
    CHECK(back->holes.size() == board.holes.size());
    CHECK(back->tracks.size() == board.tracks.size());
    CHECK(back->neighbours.size() == board.neighbours.size());
    CHECK(back->outline.size() == board.outline.size());
    for (const Part& part : board.parts) {
      const Part* same = back->find_part(part.ref);
      REQUIRE(same != nullptr);
      for (std::size_t i = 0; i < part.pins.size(); ++i) {
        CHECK(same->pins[i].number == part.pins[i].number);
        CHECK(std::abs(same->pins[i].pads[0].at->x_mm - part.pins[i].pads[0].at->x_mm) < 0.003);
        CHECK(same->pins[i].pads[0].side == part.pins[i].pads[0].side);
        if (part.pins[i].net.known()) CHECK(back->net(same->pins[i].net).raw.substr(0, 30) == board.net(part.pins[i].net).raw.substr(0, 30));
      }
    }
  }
}

TEST_CASE("files with the habits of real programs keep the grouping of pins") {
  std::set<DeviationKind> written, met;
  for (std::uint64_t seed = 1; seed <= 400; ++seed) {
    CAPTURE(seed);
    const Netlist board = random_board(seed * 7919);
    const Ipc356Style style = ipc356_style(seed);
    written.insert(style.deviations.begin(), style.deviations.end());
    const std::string text = write_ipc356(board, style);
    CHECK(write_ipc356(board, style) == text);
    const Result<Netlist> back = read_ipc356(text, "deviant.ipc");
    REQUIRE_MESSAGE(back.ok(), (back.ok() ? "" : back.error().text()));
    CHECK(grouping(*back) == grouping(board));
    CHECK(back->pad_count() == board.pad_count());
    for (const Deviation& deviation : back->deviations) met.insert(deviation.kind);
  }
  CHECK(written.size() == writable_deviations().size());
  for (const DeviationKind kind : writable_deviations()) CHECK_MESSAGE(met.count(kind) == 1, id_of(kind));
}

TEST_CASE("each deviation alone is read and counted") {
  for (const DeviationKind kind : writable_deviations()) {
    CAPTURE(std::string(id_of(kind)));
    std::size_t counted = 0;
    for (std::uint64_t seed = 1; seed <= 40; ++seed) {
      const Netlist board = random_board(seed);
      Ipc356Style style;
      style.seed = seed;
      style.deviations = {kind};
      style.units = seed % 2 == 0 ? Units::micrometres : Units::tenth_mils;
      const Result<Netlist> back = read_ipc356(write_ipc356(board, style), "one.ipc");
      REQUIRE_MESSAGE(back.ok(), (back.ok() ? "" : back.error().text()));
      CHECK(grouping(*back) == grouping(board));
      counted += back->deviation_count(kind);
      if (kind == DeviationKind::units_contradict) CHECK(back->units == style.units);
    }
    if (kind != DeviationKind::names_upper_case) CHECK(counted > 0);  // needs cut names beside it to show
  }
}

TEST_CASE("a net table keeps the grouping of any board") {
  for (std::uint64_t seed = 1; seed <= 60; ++seed) {
    const Netlist board = random_board(seed);
    Netlist distinct = board;
    for (std::size_t i = 0; i < distinct.nets.size(); ++i) distinct.nets[i].raw = "n" + std::to_string(i) + board.nets[i].raw;
    for (std::size_t p = 0; p < distinct.parts.size(); ++p)
      for (std::uint32_t i = 0; i < distinct.parts[p].pins.size(); ++i)
        if (distinct.parts[p].pins[i].net.known()) distinct.nets[distinct.parts[p].pins[i].net.index()].pins.push_back({PartIndex(p), i});
    const Result<Netlist> back = read_net_csv(write_net_csv(distinct), "nets.csv");
    REQUIRE(back.ok());
    CHECK(grouping(*back) == grouping(board));
  }
}
