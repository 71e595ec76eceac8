// board/spec_reader.h - inside parse_spec(): one reader per file of a unit; all trouble goes to one Errors.
#pragma once
#include <string>
#include <string_view>
#include <utility>

#include "base/document.h"
#include "board/spec.h"

namespace halfsplit::board {

/// Place of the byte at `offset` inside a one-line string value (its quote is one column wide).
Place inside(const halfsplit::Node& text, std::size_t offset);

void read_board_file(const halfsplit::Node& document, UnitSpec& unit, Errors& errors);
void read_parts_file(const halfsplit::Node& document, UnitSpec& unit, Errors& errors);
void read_nets_file(const halfsplit::Node& document, UnitSpec& unit, Errors& errors);
/// After the parts: gives pins their places.
void read_layout_file(const halfsplit::Node& document, UnitSpec& unit, Errors& errors);

/// Everything of machine.toml but the units' contents; unit names come back in `units` (one unnamed where the machine is its own unit).
void read_machine_file(const halfsplit::Node& document, MachineSpec& spec, Errors& errors);

/// Text of a text node, with where each list item stands.
void read_texts(Fields& fields, std::string_view key, std::vector<std::string>& texts, std::vector<Place>& places);
/// `at = [x, y]` in millimetres.
std::optional<Position> read_position(Fields& fields, std::string_view key);

}  // namespace halfsplit::board
