// parts/part_type.h - what a kind of part is: pins, behaviour, bus-cycle roles, rate class; one functional model per number.
//
// Shape:    a few to 64 pins; behaviour is a short list of blocks (named templates over pins and expressions).
// Owns:     everything by value; immutable after reading.
// Start at: PartType; files in shared/parts; format in docs/parts-format.md.
#pragma once
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "parts/expression.h"

namespace halfsplit::parts {

enum class PinRole : std::uint8_t {
  input, clock, output, three_state, open_collector, open_emitter, bidirectional, passive, supply, ground, not_connected, analog_in, analog_out
};
/// Word used in files: in clock out three-state open-collector open-emitter io passive supply ground nc analog-in analog-out.
const char* name_of(PinRole role) noexcept;
bool can_drive(PinRole role) noexcept;  ///< output, three_state, open_*, bidirectional, analog_out
bool listens(PinRole role) noexcept;    ///< input, clock, bidirectional, analog_in

struct Pin {
  std::string number;       ///< as printed in the data sheet: "1", "A12", "+"
  std::string name;         ///< trade name without the active-low slash: "OE"
  bool active_low = false;  ///< written "/OE" in files and to the user
  PinRole role = PinRole::passive;
  double rail_v = 0;        ///< role supply: nominal volts of the rail it wants; 0 = any
  std::string shown() const { return (active_low ? "/" : "") + name; }
};

enum class Template : std::uint8_t {
  gate,        ///< out[] is[] (when) (drive): combinational, three-state or open outputs
  reg,         ///< d[] q[] (qn[]) clock (enable clear preset when): edge-triggered
  latch,       ///< d[] q[] (qn[]) open (clear when): transparent while `open`
  counter,     ///< q[] (carry[]) clock (enable clear load d[] when)
  shift,       ///< q[] d[] clock (enable clear load when)
  one_shot,    ///< out[] (outn[]) trigger (clear): timed, rests at rest=low|high
  timer,       ///< out trigger threshold discharge (clear): astable or timed, decided by the wiring
  oscillator,  ///< out[] (when): crystal module
  memory,      ///< address[] data[] or in[] out[] select read write (row column); kind = sram rom dram
  processor,   ///< clock reset address[] data[] (running[]) and cycles
  master,      ///< as processor, for a second master of a bus (video, refresh): its wrong data crash nobody
  peripheral,  ///< data[] address[] select read write (ports[] outputs[] inputs[] needs[]): a chip with registers on the bus
  box,         ///< out[] needs[] (when): outputs move and are right when all needs are right; rest=moving|low|high
  regulator,   ///< in out (ground) volts
  contact,     ///< a[] b[]: closed=true|false, actuated=true for keys and switches
  resistor,    ///< a[] b[]
  capacitor,   ///< a[] b[]
  inductor,    ///< a[] b[]: a contact for direct current
  diode,       ///< anode[] cathode[]
  transistor,  ///< base collector emitter; polarity = npn pnp
  crystal      ///< a b: makes the gate or chip between its pins oscillate
};
/// The word in files: gate register latch counter shift one-shot timer oscillator memory processor master peripheral box regulator contact ...
const char* name_of(Template kind) noexcept;
/// True for templates made of two-ended elements: contact, resistor, capacitor, inductor, diode, crystal.
bool is_element(Template kind) noexcept;

/// One way in which a processor uses its bus.
struct BusCycle {
  enum class Direction : std::uint8_t { read, write, none };
  std::string name;                ///< "fetch", "read", "write", "in", "out", "refresh"
  std::string space;               ///< "memory", "io"; cycles of one space see one address map
  Direction direction = Direction::read;
  std::vector<std::pair<std::uint16_t, bool>> setup;   ///< control pin levels while the strobes are idle
  std::vector<std::pair<std::uint16_t, bool>> active;  ///< control pin levels while the transfer happens
  std::vector<std::uint16_t> address;                  ///< address pins used, lowest first; others of the address port move without meaning
  std::optional<std::uint16_t> phase_clock;            ///< clock input whose level follows the phase (low in setup, high in active), where the part has one
};

/// A template applied to pins: ports are lists of pins, terms are lists of expressions, words are plain settings.
/// Terms are: is when d clock enable clear preset load open trigger select read write row column reset running (clock of a processor and
/// trigger of a timer are ports); every other key that names pins is a port. The two ends of an element block (a and b, anode and cathode)
/// are equally long: a single pin on one side is repeated.
struct Block {
  Template kind = Template::gate;
  std::vector<std::pair<std::string, std::vector<std::uint16_t>>> ports;
  std::vector<std::pair<std::string, std::vector<Expression>>> terms;
  std::vector<std::pair<std::string, std::string>> words;
  std::vector<BusCycle> cycles;  ///< kind processor
  const std::vector<std::uint16_t>& port(std::string_view name) const;   ///< empty list when absent
  const std::vector<Expression>& term(std::string_view name) const;      ///< empty list when absent
  std::optional<std::string_view> word(std::string_view name) const;
  std::optional<double> number(std::string_view name) const;             ///< word as a number
};

struct PartType {
  std::string id;                       ///< "74244"
  std::string title;                    ///< "octal buffer, three-state"
  std::string rate_class;               ///< row of the knowledge base: "logic", "DRAM", "resistor"
  std::string technology;               ///< default technology of that row; empty = by family
  std::string function_group;           ///< logic only: "buffer or driver", "multiplexer", ...
  std::string family;                   ///< default family: levels and drive; "LS", "NMOS"
  std::vector<std::string> packages;    ///< "DIP-20"
  std::vector<std::string> also;        ///< other numbers that mean the same type
  std::vector<std::string> equivalents; ///< ids that may be fitted instead
  std::vector<Pin> pins;
  std::vector<Block> blocks;
  bool custom = false;                  ///< pins with guessed roles only: counts as untyped
  bool numbered = false;                ///< a template without pins of its own: Library::type("header/16"), Library::type_with_pins()
  bool mos = false;                     ///< antistatic handling
  std::string caution;                  ///< shown where the part is handled; empty = none
  std::optional<std::uint16_t> pin_by_number(std::string_view number) const;
  std::optional<std::uint16_t> pin_by_name(std::string_view name) const;  ///< with or without the slash; capitals count
};

}  // namespace halfsplit::parts
