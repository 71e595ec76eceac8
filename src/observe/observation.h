// observe/observation.h - the one kind of evidence: (setup, point, kind, value, when, condition, share); a symptom, a reading, a look, a sniff alike.
//
// Owns:     everything by value, ids of one Machine; `typed` is what the person typed, kept for ever.
// Start at: Observation; History for what happened in order; parse_reading() in observe/parse.h.
#pragma once
#include <compare>
#include <cstdint>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "board/machine.h"
#include "board/setup.h"

namespace halfsplit::observe {

/// Where on the way from chip to net the tip touched.
enum class Side : std::uint8_t { leg, pad, socket, far_end, board, plug };
const char* name_of(Side side) noexcept;

/// A place that can be observed. `U5.8` means the leg; a pad is the net side of its joint; a pair is measured tip to tip.
/// One tip alone (leg, net) measures volts, ohms and diode against ground; a two-legged part is measured across itself.
struct Point {
  enum class At : std::uint8_t { leg, net, pair, part, function, machine };
  At at = At::machine;
  board::PinId pin;             ///< leg; pair whose first tip is on a leg
  board::PinId other;           ///< pair whose second tip is on a leg
  board::NetId net;             ///< net; pair whose first tip is on a net as a whole; leg with side pad: the net of its pin
  board::NetId other_net;       ///< pair whose second tip is on a net as a whole ("+5V-GND": net and other_net)
  board::PartId part;           ///< part
  board::FunctionId function;   ///< function
  Side side = Side::leg;
  friend auto operator<=>(const Point&, const Point&) = default;
  friend bool operator==(const Point&, const Point&) = default;
};
std::string describe(const Point& point, const board::Machine& machine);

/// What kind of look it is; every kind has its own honesty in the knowledge base.
enum class Kind : std::uint8_t {
  probe,       ///< logic state: low high pulsing floating middle
  triggered,   ///< logic state in one bus cycle (oscilloscope triggered on it)
  content,     ///< what was got where something was wanted (hex or decimal)
  volts_dc, volts_ac, swing, ripple, ohms, continuity, diode, current, frequency, duration, speed, capacitance, gain,
  touch, look, smell, part_test, dump, piggyback,
  memory,      ///< which bits a memory test names, of one bank (any memory chip of it) or of all memory (machine)
  swap,        ///< like parts have changed places and the fault went with one of them: bad
  elsewhere,   ///< the part in another machine: good = works there
  function,    ///< a function of the machine: works, dead, wrong, weak, intermittent
  count        ///< a number the machine shows (bytes free)
};
const char* name_of(Kind kind) noexcept;  ///< "probe", "DC volts", "ohms", ...
/// The same as what a look of this kind is taken of: a memory report of the whole machine is one of its "memory".
std::string describe(const Point& point, Kind kind, const board::Machine& machine);

/// A class word; which are possible depends on the kind.
enum class Word : std::uint8_t {
  low, high, pulsing, floating, middle,        // probe, triggered
  beep, no_beep, overload,                     // continuity, ohms (OL)
  right, wrong, dead, weak, intermittent,      // function, content, dump: right = works; dead = nothing at all
  good, bad,                                   // look, part_test, smell, piggyback (good = no change)
  cold, normal, warm, hot,                     // touch
  absent                                       // triggered: the cycle never comes
};
const char* name_of(Word word) noexcept;

enum class Unit : std::uint8_t { none, volts, amps, ohms, hertz, seconds, farads, rpm, percent, bytes, plain };
const char* symbol_of(Unit unit) noexcept;  ///< "V", "A", "ohm", "Hz", ...; empty for none and plain (gain, flashes counted)

/// Compared with another point, or with the same point of a good machine.
struct Relative {
  enum class How : std::uint8_t { same, weaker, stronger, half, twice, different };
  How how = How::same;
  std::optional<Point> other;  ///< nothing: the same point of a known good machine
  friend bool operator==(const Relative&, const Relative&) = default;
};

/// `Value::failing` where every data bit fails, however many there are.
inline constexpr std::uint32_t kAllBits = 0xffffffffu;

/// What was seen: a word, or a number from..to (equal when exact; infinite when a limit), or wanted/got, or a comparison.
struct Value {
  std::optional<Word> word;
  double from = 0, to = 0;      ///< SI units; meaning only when unit != none
  Unit unit = Unit::none;
  bool about = false;           ///< "~", "about": the spread is wider
  std::optional<std::pair<std::uint32_t, std::uint32_t>> wanted_got;  ///< `word` says right or wrong beside it
  std::optional<std::uint32_t> failing;  ///< kinds memory, dump: a set bit for each data bit that fails; `word` says right or wrong beside it
  std::optional<Relative> relative;      ///< `word` beside "different": no longer as that word said ("changed" after a swap)
  std::string note;             ///< words that were understood as a remark only ("no pulses", "fine")
  bool is_number() const { return unit != Unit::none; }
  friend bool operator==(const Value&, const Value&) = default;
};
/// "4.31 V", "low", "over 2 V", "wanted 0F got 0B".
std::string describe(const Value& value);
/// As above, with the point that it is compared with: "weaker than U38.11 (Q)".
std::string describe(const Value& value, const board::Machine& machine);

/// How often it was seen: "3/10 starts". Needs seen <= trials and trials > 0.
struct Share { std::uint32_t seen = 1, trials = 1; friend bool operator==(const Share&, const Share&) = default; };

struct Observation {
  board::Setup setup;
  Point point;
  Kind kind = Kind::probe;
  Value value;
  std::string when;            ///< RFC 3339 UTC, set by the caller; empty in tests and cases
  std::string condition;       ///< circumstance as typed: "cold", "after 15min", "pressed at U7"; empty = always
  Share share;
  bool sure = false;           ///< marked sure, or read twice alike: misreading odds under 1e-4
  std::string cycle;           ///< kind triggered: name of the bus cycle
  std::string how;             ///< instrument word, "scope", "meter", where told
  std::string typed;           ///< the line as typed
  bool on_good = false;        ///< read on a good machine of this model: what to expect here, no evidence about this machine
};

struct Repair {
  enum class Act : std::uint8_t { replaced, resoldered, reseated, cleaned, rewired, adjusted, removed };
  board::PartId part;
  board::PinId pin;            ///< one joint only, where told
  Act act = Act::replaced;
  std::string when, typed;
};
const char* name_of(Repair::Act act) noexcept;

}  // namespace halfsplit::observe
