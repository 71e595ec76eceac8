// Part files, ids with made pins, values and descriptions from anybody: read or refused, never a crash; what is accepted must hold together.
#include <cstdint>
#include <memory>
#include <string>

#include "base/document.h"
#include "expect.h"
#include "parts/library.h"
#include "parts/match.h"

using namespace halfsplit;

namespace {

/// Opened anew from time to time: a library keeps every type it ever made.
const parts::Library& library() {
  static std::shared_ptr<const parts::Library> current;
  static std::size_t uses = 0;
  if (!current || ++uses > 20000) {
    auto opened = parts::Library::open(std::string(HALFSPLIT_SOURCE_DIR) + "/shared/parts");
    fuzz::expect(opened.ok(), "the shipped library opens");
    current = std::move(opened).value();
    uses = 0;
  }
  return *current;
}

void check_type(const parts::PartType& type) {
  for (const parts::Block& block : type.blocks) {
    for (const auto& [name, pins] : block.ports)
      for (const std::uint16_t pin : pins) fuzz::expect(pin < type.pins.size(), "a port names pins of the type");
    for (const auto& [name, terms] : block.terms)
      for (const parts::Expression& term : terms) {
        fuzz::expect(!term.empty(), "a term has a value");
        (void)parts::evaluate(term, [&](std::uint16_t pin) { return pin % 2 == 0; });
      }
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string text(reinterpret_cast<const char*>(data), size);
  if (const auto document = parse_document(text, "fuzz.toml"); document.ok()) {
    const auto type = library().adopt(document.value());
    if (type.ok()) check_type(**type);
    else fuzz::expect(!type.error().message.empty(), "an error says what is wrong");
  }
  const std::string head = text.substr(0, 80);
  for (const char* base : {"header/", "npn/", "resistor-network-dip/"}) {
    const auto made = library().type(base + head);
    if (!made.ok()) continue;
    check_type(**made);
    fuzz::expect(library().type((*made)->id).ok(), "the id of a made type reads back");
  }
  for (const auto kind : {parts::ValueKind::resistance, parts::ValueKind::capacitance, parts::ValueKind::inductance, parts::ValueKind::frequency})
    if (const auto value = parts::parse_value(head, kind)) (void)parts::value_text(*value, kind);
  const std::size_t third = head.size() / 3;
  const auto match = parts::match_type(library(), {head.substr(0, third), head.substr(third, third), head.substr(2 * third), size % 41, {}});
  if (match) fuzz::expect(library().type(match->type).ok(), "a match leads to a type");
  return 0;
}
