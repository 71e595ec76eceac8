// netlist/netlist.h - what a board file says, whatever its format: parts, pins, pads, nets, copper; knows nothing of part types or machines.
//
// Shape:    parts, nets in the order of the file; indices are dense. The grouping of pins is the truth, a net's name only a label.
// Owns:     everything by value. Lengths in millimetres, as seen from the component side, y upwards; only differences matter.
// Promise:  every pad of the file with a reference and a pin is a Pad of exactly one Pin; pins of one net in the file are on one net here.
// Start at: read_ipc356(), read_net_csv(); stage two is netlist/import.h.
#pragma once
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/id.h"
#include "base/result.h"
#include "netlist/deviation.h"

namespace halfsplit::netlist {

using NetIndex = Id<struct FileNetTag>;
using PartIndex = Id<struct FilePartTag>;

struct Point { double x_mm = 0, y_mm = 0; };

enum class Side : std::uint8_t { unknown, both, top, inner, bottom };
const char* name_of(Side side) noexcept;

/// Where a probe can touch a pin: one hole or one surface feature.
struct Pad {
  std::optional<Point> at;
  double drill_mm = 0;  ///< 0: no hole
  bool plated = false;  ///< of the hole
  Side side = Side::unknown;
  bool middle = false;  ///< marked as a point in the middle of its net
  double width_mm = 0, height_mm = 0;  ///< 0: not known; equal for round pads
};

enum class PinType : std::uint8_t {
  unknown, input, output, bidirectional, tri_state, passive, free, power_in, power_out, open_collector, open_emitter, no_connect
};
const char* name_of(PinType type) noexcept;
/// "power_in", "Power input", "tri-state": separators and case do not matter. Nothing when the word is not known.
std::optional<PinType> pin_type_named(std::string_view word);

struct Pin {
  std::string number;  ///< as in the file: "12", "A4", "+"
  std::string name;    ///< readable, "/OE"; empty when the file does not tell
  PinType type = PinType::unknown;
  NetIndex net;        ///< unknown: on no net (N/C, blank)
  std::vector<Pad> pads;
  std::uint32_t line = 0;
};
struct Part {
  std::string ref;       ///< unique here
  std::string file_ref;  ///< as in the file, which may use one reference for two parts
  std::vector<Pin> pins;
  std::uint32_t line = 0;
};
struct PinAt {
  PartIndex part;
  std::uint32_t pin = 0;
};
struct Net {
  std::string raw;    ///< the name as written in the file, aliases resolved
  std::string alias;  ///< what the records say in its place; empty when no alias is used
  std::string name;   ///< readable and unique: marks decoded, made-up names as "net at U1.11"
  bool made_up = false;  ///< the name comes from a program, not from a person
  bool lone = false;     ///< one pin only: as good as not connected
  std::vector<PinAt> pins;
  std::vector<Point> vias;
  std::uint32_t line = 0;
};

/// A stretch of copper: points joined by straight lines.
struct Track {
  NetIndex net;
  int layer = 0;  ///< 0: not known
  double width_mm = 0;
  std::vector<Point> points;
};
/// Two nets so near to each other that solder may bridge them; first < second.
struct Neighbours { NetIndex first, second; };
/// A hole no pin belongs to: tooling, mounting, key switch pegs.
struct Hole {
  std::string ref;  ///< may be empty
  NetIndex net;     ///< of a plated hole, else unknown
  std::optional<Point> at;
  double drill_mm = 0;
  bool plated = false;
};
/// A value the file itself holds (records 370 and 380).
struct Element {
  std::string name;
  char kind = 'R';   ///< R, C or L
  double value = 0;  ///< ohms, farads, henries
  NetIndex a, b;
};

enum class Units : std::uint8_t { not_known, micrometres, tenth_mils };
const char* name_of(Units units) noexcept;

struct Netlist {
  std::string file, format, title, revision;
  Units units = Units::not_known;
  std::uint64_t hash = 0;  ///< of the text, to tell a stale export from a new one
  std::vector<Part> parts;
  std::vector<Net> nets;
  std::vector<Track> tracks;
  std::vector<Neighbours> neighbours;
  std::vector<std::vector<Point>> outline;
  std::vector<Hole> holes;
  std::vector<Element> elements;
  std::vector<Point> loose_vias;  ///< vias on no net
  std::vector<Deviation> deviations;
  std::vector<std::string> notes;  ///< sentences for people: what was decided, what could not be used

  const Part& part(PartIndex index) const { return parts[index.index()]; }
  const Net& net(NetIndex index) const { return nets[index.index()]; }
  const Pin& pin(PinAt at) const { return part(at.part).pins[at.pin]; }
  /// By reference, exact. Linear.
  const Part* find_part(std::string_view ref) const;
  std::size_t pin_count() const;
  std::size_t pad_count() const;
  std::size_t deviation_count(DeviationKind kind) const;
};

/// Copper of one net, summed: pieces, length in millimetres, layers it runs on.
struct CopperSummary {
  std::size_t tracks = 0;
  double length_mm = 0;
  std::vector<int> layers;
};
CopperSummary copper_of(const Netlist& netlist, NetIndex net);

}  // namespace halfsplit::netlist
