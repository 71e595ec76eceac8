// Reads the pin texts of a part file: "NUMBER NAME ROLE [RAIL]".
#include <charconv>
#include <optional>
#include <unordered_map>

#include "base/text.h"
#include "parts/expression_parser.h"
#include "parts/type_file.h"

namespace halfsplit::parts {

namespace {

constexpr PinRole kRoles[] = {PinRole::input,      PinRole::clock,          PinRole::output,        PinRole::three_state, PinRole::open_collector,
                              PinRole::open_emitter, PinRole::bidirectional, PinRole::passive,       PinRole::supply,      PinRole::ground,
                              PinRole::not_connected, PinRole::analog_in,    PinRole::analog_out};

std::optional<PinRole> role_named(std::string_view word) {
  for (const PinRole role : kRoles)
    if (word == name_of(role)) return role;
  return std::nullopt;
}

std::vector<std::string> role_words() {
  std::vector<std::string> out;
  for (const PinRole role : kRoles) out.emplace_back(name_of(role));
  return out;
}

/// "+5V", "-12V", "3.3V" in volts.
std::optional<double> rail_of(std::string_view word) {
  if (word.size() < 2 || (word.back() != 'V' && word.back() != 'v')) return std::nullopt;
  word.remove_suffix(1);
  if (word[0] == '+') word.remove_prefix(1);
  double volts = 0;
  const auto [end, error] = std::from_chars(word.data(), word.data() + word.size(), volts);
  if (error != std::errc() || end != word.data() + word.size() || volts < -1000 || volts > 1000) return std::nullopt;
  return volts;
}

class PinReader {
 public:
  explicit PinReader(Errors& errors) : errors_(errors) {}

  std::vector<Pin> run(const halfsplit::Node& list) {
    if (list.kind != halfsplit::Node::Kind::array) {
      errors_.add(bad_input("pins is a list of texts, or the word \"numbered\"", list.place));
      return {};
    }
    for (const halfsplit::Node& item : list.items) {
      if (pins_.size() >= 512) {
        errors_.add(bad_input("more than 512 pins", item.place));
        break;
      }
      if (item.kind == halfsplit::Node::Kind::text) read(item);
      else errors_.add(bad_input("a pin is a text", item.place, "\"1 A0 in\""));
    }
    return std::move(pins_);
  }

 private:
  void fail(const halfsplit::Node& item, std::string_view at, std::string message, std::string hint = {}) {
    const std::size_t offset = at.data() ? static_cast<std::size_t>(at.data() - item.text.data()) : item.text.size();
    errors_.add(bad_input(std::move(message), place_in(item.place, item.text, offset), std::move(hint)));
  }

  void read(const halfsplit::Node& item) {
    const std::vector<std::string_view> word = words(item.text);
    if (word.size() < 3) return fail(item, word.empty() ? std::string_view(item.text) : word.back(), "a pin needs number, name and role", "\"8 /OE in\"");
    Pin pin;
    pin.number = std::string(word[0]);
    if (!name(item, word[1], pin)) return;
    const auto role = role_named(word[2]);
    if (!role) return fail(item, word[2], "no role " + std::string(word[2]), role_hint(word[2]));
    pin.role = *role;
    if (word.size() > 3 && !rail(item, word, pin)) return;
    if (!numbers_.emplace(pin.number, pins_.size()).second) return fail(item, word[0], "pin number " + pin.number + " is there twice");
    if (needs_own_name(pin.role) && !names_.emplace(pin.name, pins_.size()).second) return fail(item, word[1], "pin name " + pin.name + " is there twice");
    pins_.push_back(std::move(pin));
  }

  static bool needs_own_name(PinRole role) { return role != PinRole::not_connected && role != PinRole::ground && role != PinRole::supply; }

  static std::string role_hint(std::string_view word) {
    const std::vector<std::string> roles = role_words();
    const std::string near = nearest(word, roles);
    return near.empty() ? "roles: " + join(roles, " ") : near;
  }

  bool name(const halfsplit::Node& item, std::string_view word, Pin& pin) {
    std::string_view plain = word;
    if (plain.size() > 1 && plain[0] == '/') {
      pin.active_low = true;
      plain.remove_prefix(1);
    }
    for (std::size_t i = 0; i < plain.size(); ++i) {
      if (is_name_letter(plain[i])) continue;
      fail(item, plain.substr(i), "a pin name holds letters, digits and _ . + - ' only", plain[i] == '~' ? "a leading / marks an active-low pin" : "");
      return false;
    }
    pin.name = std::string(plain);
    return true;
  }

  bool rail(const halfsplit::Node& item, const std::vector<std::string_view>& word, Pin& pin) {
    if (word.size() > 4) fail(item, word[4], "nothing may follow the rail");
    if (pin.role != PinRole::supply) {
      fail(item, word[3], "only a supply pin names its rail");
      return false;
    }
    const auto volts = rail_of(word[3]);
    if (!volts) {
      fail(item, word[3], "a rail is written +5V or -12V");
      return false;
    }
    pin.rail_v = *volts;
    return word.size() == 4;
  }

  Errors& errors_;
  std::vector<Pin> pins_;
  std::unordered_map<std::string, std::size_t> numbers_, names_;
};

}  // namespace

std::vector<Pin> read_pins(const halfsplit::Node& list, Errors& errors) { return PinReader(errors).run(list); }

}  // namespace halfsplit::parts
