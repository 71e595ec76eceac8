// Names of the enumerations, as shown to people and written to JSON and cases.
#include "observe/observation.h"

namespace halfsplit::observe {

const char* name_of(Side side) noexcept {
  switch (side) {
    case Side::leg: return "leg";
    case Side::pad: return "pad";
    case Side::socket: return "socket";
    case Side::far_end: return "far end";
    case Side::board: return "board";
    case Side::plug: return "plug";
  }
  return "leg";
}

const char* name_of(Kind kind) noexcept {
  switch (kind) {
    case Kind::probe: return "probe";
    case Kind::triggered: return "triggered";
    case Kind::content: return "content";
    case Kind::volts_dc: return "DC volts";
    case Kind::volts_ac: return "AC volts";
    case Kind::swing: return "swing";
    case Kind::ripple: return "ripple";
    case Kind::ohms: return "ohms";
    case Kind::continuity: return "continuity";
    case Kind::diode: return "diode";
    case Kind::current: return "current";
    case Kind::frequency: return "frequency";
    case Kind::duration: return "duration";
    case Kind::speed: return "speed";
    case Kind::capacitance: return "capacitance";
    case Kind::gain: return "gain";
    case Kind::touch: return "touch";
    case Kind::look: return "look";
    case Kind::smell: return "smell";
    case Kind::part_test: return "part test";
    case Kind::dump: return "dump";
    case Kind::piggyback: return "piggyback";
    case Kind::memory: return "memory report";
    case Kind::swap: return "swap";
    case Kind::elsewhere: return "elsewhere";
    case Kind::function: return "function";
    case Kind::count: return "count";
  }
  return "probe";
}

const char* name_of(Word word) noexcept {
  switch (word) {
    case Word::low: return "low";
    case Word::high: return "high";
    case Word::pulsing: return "pulsing";
    case Word::floating: return "floating";
    case Word::middle: return "middle";
    case Word::beep: return "beep";
    case Word::no_beep: return "no beep";
    case Word::overload: return "OL";
    case Word::right: return "right";
    case Word::wrong: return "wrong";
    case Word::dead: return "dead";
    case Word::weak: return "weak";
    case Word::intermittent: return "intermittent";
    case Word::good: return "good";
    case Word::bad: return "bad";
    case Word::cold: return "cold";
    case Word::normal: return "normal";
    case Word::warm: return "warm";
    case Word::hot: return "hot";
    case Word::absent: return "no trigger";
  }
  return "low";
}

const char* symbol_of(Unit unit) noexcept {
  switch (unit) {
    case Unit::volts: return "V";
    case Unit::amps: return "A";
    case Unit::ohms: return "ohm";
    case Unit::hertz: return "Hz";
    case Unit::seconds: return "s";
    case Unit::farads: return "F";
    case Unit::rpm: return "rpm";
    case Unit::percent: return "%";
    case Unit::bytes: return "bytes";
    case Unit::none:
    case Unit::plain: return "";
  }
  return "";
}

const char* name_of(Repair::Act act) noexcept {
  switch (act) {
    case Repair::Act::replaced: return "replaced";
    case Repair::Act::resoldered: return "resoldered";
    case Repair::Act::reseated: return "reseated";
    case Repair::Act::cleaned: return "cleaned";
    case Repair::Act::rewired: return "rewired";
    case Repair::Act::adjusted: return "adjusted";
    case Repair::Act::removed: return "removed";
  }
  return "replaced";
}

}  // namespace halfsplit::observe
