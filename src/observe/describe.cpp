// Values and points as a technician writes them; what comes out can be typed in again.
#include <fmt/core.h>

#include "base/text.h"
#include "observe/observation.h"
#include "observe/quantity.h"

namespace halfsplit::observe {
namespace {

/// "wanted 0F got 0B"; a 0x where neither number shows that it is hexadecimal.
std::string wanted_got_text(std::uint32_t wanted, std::uint32_t got) {
  const std::string a = fmt::format("{:02X}", wanted), b = fmt::format("{:02X}", got);
  const auto shows = [](const std::string& text) { return text.find_first_of("ABCDEF") != std::string::npos || text[0] == '0'; };
  const char* mark = shows(a) || shows(b) ? "" : "0x";
  return fmt::format("wanted {0}{1} got {0}{2}", mark, a, b);
}

const char* phrase_of(Relative::How how) {
  switch (how) {
    case Relative::How::same: return "same as";
    case Relative::How::weaker: return "weaker than";
    case Relative::How::stronger: return "stronger than";
    case Relative::How::half: return "half of";
    case Relative::How::twice: return "twice";
    case Relative::How::different: return "different from";
  }
  return "same as";
}

/// "bits 3 and 5 fail"; all 32 set stands for all bits, however many there are.
std::string failing_text(std::uint32_t failing) {
  if (failing == 0) return "all bits right";
  if (failing == kAllBits) return "all bits fail";
  std::vector<std::string> bits;
  for (std::uint32_t i = 0; i < 32; ++i)
    if ((failing >> i) & 1u) bits.push_back(std::to_string(i));
  if (bits.size() == 1) return "bit " + bits[0] + " fails";
  const std::string last = bits.back();
  bits.pop_back();
  return "bits " + join(bits, ", ") + " and " + last + " fail";
}

std::string core_of(const Value& value) {
  if (value.relative && value.word) return fmt::format("changed, {} before", name_of(*value.word));
  if (value.relative) return fmt::format("{} {}", phrase_of(value.relative->how), value.relative->other ? "another point" : "good");
  if (value.word == Word::dead && value.note == "no report") return value.note;
  if (value.failing) return failing_text(*value.failing);
  if (value.wanted_got) return wanted_got_text(value.wanted_got->first, value.wanted_got->second);
  if (value.is_number()) return (value.about ? "about " : "") + shown_range(value.from, value.to, value.unit);
  if (value.word) return name_of(*value.word);
  return value.note.empty() ? "nothing" : value.note;
}

std::string tip(board::PinId pin, board::NetId net, const board::Machine& machine) {
  if (pin.known()) return machine.name_of(pin);
  return net.known() ? machine.net(net).name : "?";
}

}  // namespace

std::string describe(const Value& value) {
  const std::string core = core_of(value);
  return value.note.empty() || value.note == core ? core : fmt::format("{} ({})", core, value.note);
}

std::string describe(const Value& value, const board::Machine& machine) {
  if (!value.relative || !value.relative->other) return describe(value);
  const std::string core = fmt::format("{} {}", phrase_of(value.relative->how), describe(*value.relative->other, machine));
  return value.note.empty() ? core : fmt::format("{} ({})", core, value.note);
}

std::string describe(const Point& point, Kind kind, const board::Machine& machine) {
  return kind == Kind::memory && point.at == Point::At::machine ? "memory" : describe(point, machine);
}

std::string describe(const Point& point, const board::Machine& machine) {
  switch (point.at) {
    case Point::At::leg:
      return machine.long_name_of(point.pin) + (point.side == Side::leg ? "" : fmt::format(" {}", name_of(point.side)));
    case Point::At::net: return "net " + machine.net(point.net).name;
    case Point::At::pair: return tip(point.pin, point.net, machine) + " to " + tip(point.other, point.other_net, machine);
    case Point::At::part: return machine.part(point.part).ref;
    case Point::At::function: return machine.function(point.function).id;
    case Point::At::machine: return "machine";
  }
  return "machine";
}

}  // namespace halfsplit::observe
