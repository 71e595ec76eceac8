// Unit words: a prefix and a unit, written together in any case; m and M are told apart only where both can be meant.
#include <array>
#include <cctype>

#include "base/text.h"
#include "observe/typed.h"

namespace halfsplit::observe {
namespace {

struct UnitName { const char* name; Unit unit; double scale; bool prefixed; std::optional<Kind> kind = {}; };
/// Longer names before shorter ones that end alike.
constexpr std::array kUnits = {
    UnitName{"volts", Unit::volts, 1, true},
    UnitName{"volt", Unit::volts, 1, true},
    UnitName{"voltsac", Unit::volts, 1, true, Kind::volts_ac},
    UnitName{"voltsdc", Unit::volts, 1, true, Kind::volts_dc},
    UnitName{"vdc", Unit::volts, 1, true, Kind::volts_dc},
    UnitName{"vac", Unit::volts, 1, true, Kind::volts_ac},
    UnitName{"vrms", Unit::volts, 1, true, Kind::volts_ac},
    UnitName{"vpp", Unit::volts, 1, true, Kind::swing},
    UnitName{"vpkpk", Unit::volts, 1, true, Kind::swing},
    UnitName{"vptp", Unit::volts, 1, true, Kind::swing},
    UnitName{"v", Unit::volts, 1, true},
    UnitName{"amperes", Unit::amps, 1, true},
    UnitName{"ampere", Unit::amps, 1, true},
    UnitName{"amps", Unit::amps, 1, true},
    UnitName{"amp", Unit::amps, 1, true},
    UnitName{"adc", Unit::amps, 1, true},
    UnitName{"a", Unit::amps, 1, true},
    UnitName{"ohms", Unit::ohms, 1, true},
    UnitName{"ohm", Unit::ohms, 1, true},
    UnitName{"r", Unit::ohms, 1, true},
    UnitName{"hertz", Unit::hertz, 1, true},
    UnitName{"hz", Unit::hertz, 1, true},
    UnitName{"seconds", Unit::seconds, 1, true},
    UnitName{"second", Unit::seconds, 1, true},
    UnitName{"secs", Unit::seconds, 1, true},
    UnitName{"sec", Unit::seconds, 1, true},
    UnitName{"minutes", Unit::seconds, 60, false},
    UnitName{"minute", Unit::seconds, 60, false},
    UnitName{"mins", Unit::seconds, 60, false},
    UnitName{"min", Unit::seconds, 60, false},
    UnitName{"kbytes", Unit::bytes, 1024, false},
    UnitName{"kbyte", Unit::bytes, 1024, false},
    UnitName{"kb", Unit::bytes, 1024, false},
    UnitName{"bytes", Unit::bytes, 1, false},
    UnitName{"byte", Unit::bytes, 1, false},
    UnitName{"s", Unit::seconds, 1, true},
    UnitName{"farads", Unit::farads, 1, true},
    UnitName{"farad", Unit::farads, 1, true},
    UnitName{"mfd", Unit::farads, 1e-6, false},
    UnitName{"fd", Unit::farads, 1, true},
    UnitName{"f", Unit::farads, 1, true},
    UnitName{"rpm", Unit::rpm, 1, false, Kind::speed},
    UnitName{"percent", Unit::percent, 1, false},
    UnitName{"pct", Unit::percent, 1, false},
    UnitName{"%", Unit::percent, 1, false}};

struct Prefix { const char* name; double scale; };
constexpr std::array kPrefixes = {Prefix{"", 1},       Prefix{"kilo", 1e3},  Prefix{"k", 1e3},    Prefix{"mega", 1e6}, Prefix{"meg", 1e6},  Prefix{"giga", 1e9},
                                  Prefix{"g", 1e9},    Prefix{"milli", 1e-3}, Prefix{"micro", 1e-6}, Prefix{"u", 1e-6},   Prefix{"nano", 1e-9}, Prefix{"n", 1e-9},
                                  Prefix{"pico", 1e-12}, Prefix{"p", 1e-12}};

/// A single m or M before a unit: the scale that can be meant, or a doubt.
UnitWord with_m(UnitWord word, bool capital) {
  switch (word.unit) {
    case Unit::hertz: word.scale *= 1e6; return word;
    case Unit::ohms:
      if (capital) word.scale *= 1e6;
      else word.doubt = "a small m before ohm can be milli or mega: type 0.02R for 20 milliohm, 20M for 20 megohm";
      return word;
    case Unit::farads:
      if (!capital) word.scale *= 1e-3;
      else word.doubt = "MF is an old form for microfarad and a new one for nothing: type 47uF, or 47000uF for 47 mF";
      return word;
    default: word.scale *= 1e-3; return word;
  }
}

std::optional<UnitWord> prefix_alone(const std::string& low, bool capital) {
  UnitWord word;
  word.implied = true;
  if (low == "k" || low == "kilo") { word.unit = Unit::ohms; word.scale = 1e3; return word; }
  if (low == "meg" || low == "mega" || (low == "m" && capital)) { word.unit = Unit::ohms; word.scale = 1e6; return word; }
  for (const auto& [name, scale] : {Prefix{"u", 1e-6}, Prefix{"n", 1e-9}, Prefix{"p", 1e-12}})
    if (low == name) { word.unit = Unit::farads; word.scale = scale; return word; }
  if (low == "m") {
    word.unit = Unit::ohms;
    word.doubt = "m alone can be milli or mega: type 1M for a megohm, 1mV or 1mA with its unit";
    return word;
  }
  return std::nullopt;
}

std::optional<UnitWord> known_word(const std::string& low, bool capital) {
  if (auto alone = prefix_alone(low, capital)) return alone;
  for (const UnitName& unit : kUnits) {
    if (!ends_with(low, unit.name)) continue;
    const std::string_view head = std::string_view(low).substr(0, low.size() - std::string_view(unit.name).size());
    UnitWord found{unit.unit, unit.scale, false, unit.kind, {}, {}};
    if (head == "m" && unit.prefixed) return with_m(found, capital);
    const bool letter_r = std::string_view(unit.name) == "r";  // only R and kR are written, "nr" is a number sign
    for (const Prefix& prefix : kPrefixes) {
      if (letter_r && prefix.scale != 1 && prefix.scale != 1e3) continue;
      if (head != prefix.name || (!head.empty() && !unit.prefixed)) continue;
      found.scale *= prefix.scale;
      return found;
    }
  }
  return std::nullopt;
}

}  // namespace

std::optional<UnitWord> unit_word(std::string_view typed) {
  std::string word;
  for (const char c : typed)
    if (c != '-' && c != '.') word += c;
  if (word.empty() || word.size() > 16) return std::nullopt;
  auto found = known_word(lower(word), word[0] == 'M');
  if (found) found->written = word;
  return found;
}

}  // namespace halfsplit::observe
