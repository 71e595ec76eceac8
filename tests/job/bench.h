// job/bench.h - a small invented machine for the tests of this folder, and the same after its files were changed.
#pragma once
#include <doctest/doctest.h>

#include <memory>
#include <string>

#include "board/spec.h"
#include "parts/library.h"

namespace bench {

using namespace halfsplit;

inline std::string replaced(std::string text, const std::string& was, const std::string& now) {
  for (std::size_t at = text.find(was); at != std::string::npos; at = text.find(was, at + now.size())) text.replace(at, was.size(), now);
  return text;
}

/// A buffer, an inverter, a key, a header; `buffer` is the buffer's reference, `bell` the name of its output net.
inline board::SpecFiles files(const std::string& buffer = "U2", const std::string& bell = "BELL") {
  board::SpecFiles out = {{"machine.toml", R"(format = 1
id = "bell"
title = "Osprill Bell"
revision = "A"
[[function]]
id = "rings"
title = "the bell rings"
kind = "sound"
needs = ["@B.18"]
[[function]]
id = "key-a"
kind = "key"
needs = ["net KEY"]
held = "SW1"
)"},
                          {"board.toml", "format = 1\ngrounds = [\"GND\"]\n[[supply]]\nnet = \"+5V\"\nvolts = 5\n"},
                          {"parts.toml", "format = 1\n[parts]\nU1 = \"7404 LS\"\n@B = \"74244 LS\"\nR1 = \"resistor 4k7\"\nSW1 = \"key\"\nJ1 = \"header/4\"\n"},
                          {"nets.toml", R"(format = 1
[nets]
GND = "U1.7 @B.10 @B.1 SW1.2 J1.1"
"+5V" = "U1.14 @B.20 R1.1 J1.2"
CLK = "U1.1 J1.3"
"~{CK}" = "U1.2 @B.2"
@N = "@B.18 J1.4"
KEY = "SW1.1 R1.2 @B.17"
)"}};
  for (auto& [name, text] : out) text = replaced(replaced(text, "@B", buffer), "@N", bell);
  return out;
}

inline std::shared_ptr<const board::Machine> machine(const board::SpecFiles& from = files()) {
  static const auto library = parts::Library::open(HALFSPLIT_SOURCE_DIR "/shared/parts");
  REQUIRE(library.ok());
  auto spec = board::parse_spec(from);
  REQUIRE_MESSAGE(spec.ok(), (spec.ok() ? "" : spec.error().text()));
  auto made = board::build(*spec, *library);
  REQUIRE_MESSAGE(made.ok(), (made.ok() ? "" : made.error().text()));
  return *made;
}

}  // namespace bench
