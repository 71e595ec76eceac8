#include "netlist/guess.h"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <cstdlib>
#include <vector>

#include "base/text.h"

namespace halfsplit::netlist {
namespace {

/// Upper case, without sheet path and active-low marks.
std::string bare(std::string_view net) {
  std::string name = upper(net);
  if (const auto slash = name.find_last_of('/'); slash != std::string::npos && slash + 1 < name.size()) name = name.substr(slash + 1);
  name.erase(std::remove_if(name.begin(), name.end(), [](char c) { return c == '~' || c == '{' || c == '}' || c == '#' || c == '*'; }), name.end());
  return name;
}

bool has(std::string_view text, std::string_view part) { return text.find(part) != std::string_view::npos; }

}  // namespace

bool names_ground(std::string_view net) {
  const std::string name = bare(net);
  return name == "GND" || name == "VSS" || name == "EARTH" || name == "0V" || name == "GNDS" || name == "AGND" || name == "DGND" || name == "GROUND";
}

std::optional<double> rail_volts(std::string_view net) {
  const std::string name = bare(net);
  static const std::vector<std::pair<std::string, double>> words{{"VCC", 5}, {"VDD", 5}, {"VCC1", 5}, {"VBUS", 5}, {"VBB", -5}, {"VEE", -5}};
  for (const auto& [word, volts] : words)
    if (name == word) return volts;
  std::size_t i = 0;
  double sign = 1;
  if (i < name.size() && (name[i] == '+' || name[i] == '-')) sign = name[i++] == '-' ? -1 : 1;
  else if (name.size() < 2 || name.back() != 'V') return std::nullopt;
  std::string digits;
  for (; i < name.size() && (std::isdigit(static_cast<unsigned char>(name[i])) || name[i] == '.' || (name[i] == 'V' && i + 1 < name.size())); ++i)
    digits += name[i] == 'V' ? '.' : name[i];
  if (digits.empty() || digits == ".") return std::nullopt;
  const double volts = sign * std::strtod(digits.c_str(), nullptr);
  return volts == 0 || std::abs(volts) > 60 ? std::nullopt : std::optional(volts);
}

std::string role_for(std::string_view net) {
  const std::string name = bare(net);
  if (names_ground(net)) return "ground";
  if (rail_volts(net)) return "supply";
  for (const char* word : {"CLK", "CLOCK", "OSC", "PHI", "PCLK"})
    if (has(name, word)) return "clock";
  for (const char* word : {"RESET", "RST", "CS", "CE", "SEL", "RD", "WR", "R/W"})
    if (name == word || starts_with(name, word)) return "in";
  return "io";
}

std::string job_of(std::string_view value, std::string_view footprint) {
  const std::string words = upper(value) + " " + upper(footprint);
  if (has(words, "VGA") || has(words, "VIDEO") || has(words, "DE15") || has(words, "DSUB-15-HD") || has(words, "RGB") || has(words, "SCART") || has(words, "RF_MOD")) return "picture";
  if (has(words, "CASSETTE") || has(words, "TAPE")) return "cassette";
  if (has(words, "SPEAKER") || has(words, "BUZZER") || has(words, "AUDIO")) return "sound";
  if (has(words, "FLOPPY") || has(words, "FDD") || has(words, "DISK")) return "disk";
  if (has(words, "SERIAL") || has(words, "RS232") || has(words, "UART") || has(words, "DE9") || has(words, "USB")) return "serial";
  return "";
}

std::string job_of_net(std::string_view net) {
  const std::string name = bare(net);
  for (const char* word : {"HSYNC", "VSYNC", "CSYNC", "VIDEO", "LUMA", "CHROMA"})
    if (has(name, word)) return "picture";
  for (const char* word : {"AUDIO", "SOUND", "SPEAKER", "SPK"})
    if (has(name, word)) return "sound";
  for (const char* word : {"CASS", "TAPE"})
    if (has(name, word)) return "cassette";
  return "";
}

}  // namespace halfsplit::netlist
