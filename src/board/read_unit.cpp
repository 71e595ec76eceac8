// Reads board.toml, parts.toml, nets.toml and layout.toml of one unit.
#include <fmt/core.h>

#include <charconv>
#include <cmath>
#include <unordered_map>

#include "base/text.h"
#include "board/part_line.h"
#include "board/spec_reader.h"

namespace halfsplit::board {

Place inside(const halfsplit::Node& text, std::size_t offset) {
  Place place = text.place;
  ++place.column;
  for (std::size_t i = 0; i < offset && i < text.text.size(); ++i)
    if ((static_cast<unsigned char>(text.text[i]) & 0xc0u) != 0x80u) ++place.column;
  return place;
}

void read_texts(Fields& fields, std::string_view key, std::vector<std::string>& texts, std::vector<Place>& places) {
  const halfsplit::Node* node = fields.any(key);
  if (!node) return;
  const bool list = node->kind == halfsplit::Node::Kind::array;
  const auto take = [&](const halfsplit::Node& item) {
    if (item.kind != halfsplit::Node::Kind::text) return fields.fail(fmt::format("{} must be a list of texts", key), item.place, "put it in double quotes");
    texts.push_back(item.text);
    places.push_back(item.place);
  };
  if (!list) return take(*node);
  for (const halfsplit::Node& item : node->items) take(item);
}

std::optional<Position> read_position(Fields& fields, std::string_view key) {
  const halfsplit::Node* node = fields.array(key);
  if (!node) return std::nullopt;
  const auto number = [](const halfsplit::Node& item) {
    return (item.kind == halfsplit::Node::Kind::integer || item.kind == halfsplit::Node::Kind::real) && std::isfinite(item.real);
  };
  if (node->items.size() == 2 && number(node->items[0]) && number(node->items[1])) return Position{node->items[0].real, node->items[1].real};
  fields.fail(fmt::format("{} must be two numbers", key), node->place, "millimetres, as in at = [12.5, 40]");
  return std::nullopt;
}

namespace {

void read_supply(const halfsplit::Node& table, UnitSpec& unit, Errors& errors) {
  Fields fields(table, errors);
  SupplySpec supply;
  supply.place = table.place;
  supply.net = fields.need_text("net");
  if (const halfsplit::Node* net = table.find("net")) supply.place = net->place;
  supply.volts = fields.need_number("volts");
  if (table.find("volts") && (supply.volts == 0 || std::abs(supply.volts) > 1000))
    fields.fail("volts must be between -1000 and 1000 and not 0", table.find("volts")->place, "the nominal voltage of the rail against ground");
  supply.tolerance = fields.number("tolerance").value_or(supply.tolerance);
  if (supply.tolerance <= 0 || supply.tolerance >= 1)
    fields.fail("tolerance must be between 0 and 1", table.find("tolerance")->place, "0.05 is five per cent");
  supply.from = fields.text("from").value_or("");
  fields.finish();
  unit.supplies.push_back(std::move(supply));
}

void read_source(const halfsplit::Node& table, UnitSpec& unit, Errors& errors) {
  Fields fields(table, errors);
  const std::string net = fields.need_text("net");
  const double moves = fields.number("moves").value_or(kSourceMoves);
  if (moves < 0 || moves > 1) fields.fail("moves must be between 0 and 1", table.find("moves")->place, "the share of time in which the signal moves");
  fields.finish();
  unit.sources.emplace_back(net, moves);
  unit.sources_at.push_back(table.find("net") ? table.find("net")->place : table.place);
}

template <class Read>
void each_table(Fields& fields, std::string_view key, Read read) {
  const halfsplit::Node* list = fields.array(key);
  if (!list) return;
  for (const halfsplit::Node& item : list->items) read(item);
}

}  // namespace

void read_board_file(const halfsplit::Node& document, UnitSpec& unit, Errors& errors) {
  Fields fields(document, errors);
  fields.need_format(1);
  unit.place = document.place;
  unit.title = fields.text("title").value_or("");
  unit.revision = fields.text("revision").value_or("");
  read_texts(fields, "grounds", unit.grounds, unit.grounds_at);
  each_table(fields, "supply", [&](const halfsplit::Node& item) { read_supply(item, unit, errors); });
  each_table(fields, "source", [&](const halfsplit::Node& item) { read_source(item, unit, errors); });
  fields.finish();
}

namespace {

PartSpec read_part(const Member& member, Errors& errors) {
  PartSpec part;
  part.ref = member.key;
  part.place = member.place;
  if (!is_reference(part.ref))
    errors.add(bad_input(fmt::format("{} can't be a reference", in_quotes(part.ref)), member.place, "no blanks and none of . / ~ , @ ="));
  if (member.value.kind == halfsplit::Node::Kind::text) {
    ShortPart words = parse_short_part(member.value.text);
    if (words.type.empty()) errors.add(bad_input(fmt::format("{} has no type", part.ref), member.value.place, "as in R7 = \"resistor 4.7k\""));
    part.type = std::move(words.type);
    part.family = std::move(words.family);
    part.value = std::move(words.value);
    return part;
  }
  if (member.value.kind != halfsplit::Node::Kind::table) {
    errors.add(bad_input(fmt::format("{} must be a text or a table, this is {}", part.ref, halfsplit::name_of(member.value.kind)), member.value.place,
                         "as in R7 = \"resistor 4.7k\" or U5 = { type = \"74244\", socketed = true }"));
    return part;
  }
  Fields fields(member.value, errors);
  part.type = fields.need_text("type");
  part.family = fields.text("family").value_or("");
  part.value = fields.text("value").value_or("");
  part.footprint = fields.text("footprint").value_or("");
  part.note = fields.text("note").value_or("");
  part.fitted = fields.boolean("fitted").value_or(true);
  part.socketed = fields.boolean("socketed").value_or(false);
  part.at = read_position(fields, "at");
  part.pin_numbers = parse_pin_list(fields.text("pins").value_or(""));
  fields.finish();
  return part;
}

}  // namespace

void read_parts_file(const halfsplit::Node& document, UnitSpec& unit, Errors& errors) {
  Fields fields(document, errors);
  fields.need_format(1);
  const halfsplit::Node* table = fields.table("parts");
  if (!table && !document.find("parts")) fields.fail("parts is missing", document.place, "write [parts], then one line a part");
  if (table)
    for (const Member& member : table->members) unit.parts.push_back(read_part(member, errors));
  fields.finish();
}

namespace {

constexpr std::size_t kMostPins = 200'000;

class NetReader {
 public:
  NetReader(UnitSpec& unit, Errors& errors) : unit_(unit), errors_(errors) {}

  void read(const Member& member) {
    NetSpec net;
    net.name = member.key;
    net.place = member.place;
    if (trim(net.name).empty() || trim(net.name) != net.name)
      errors_.add(bad_input(fmt::format("{} can't be the name of a net", in_quotes(net.name)), member.place, "a name without blanks at its ends"));
    if (member.value.kind == halfsplit::Node::Kind::array)
      for (const halfsplit::Node& item : member.value.items) read_text(item, net);
    else read_text(member.value, net);
    unit_.nets.push_back(std::move(net));
  }

 private:
  void read_text(const halfsplit::Node& text, NetSpec& net) {
    if (text.kind != halfsplit::Node::Kind::text) {
      errors_.add(bad_input(fmt::format("the pins of a net are a text, this is {}", halfsplit::name_of(text.kind)), text.place,
                            "as in \"+5V\" = \"U1.11 U2.28 C3.1\"; a long net is a list of such texts"));
      return;
    }
    if (text.text.find_first_of("\r\n") != std::string::npos) {
      errors_.add(bad_input("the pins of a net stand on one line", text.place, "a long net is a list of texts, one a line"));
      return;
    }
    for (const Piece& piece : pieces_of(text.text)) read_pin(text, piece, net);
  }

  void read_pin(const halfsplit::Node& text, const Piece& piece, NetSpec& net) {
    const std::size_t dot = piece.text.find('.');
    if (dot == std::string_view::npos || dot == 0 || dot + 1 == piece.text.size()) {
      errors_.add(bad_input(fmt::format("{} is no pin", in_quotes(piece.text)), inside(text, piece.offset),
                            "write reference, dot and pin, as in U5.8"));
      return;
    }
    if (++pins_ == kMostPins) errors_.add(bad_input("more than 200000 pins in one file", inside(text, piece.offset)));
    if (pins_ >= kMostPins) return;
    net.pins.push_back({std::string(piece.text.substr(0, dot)), std::string(piece.text.substr(dot + 1)), inside(text, piece.offset)});
  }

  UnitSpec& unit_;
  Errors& errors_;
  std::size_t pins_ = 0;
};

}  // namespace

void read_nets_file(const halfsplit::Node& document, UnitSpec& unit, Errors& errors) {
  Fields fields(document, errors);
  fields.need_format(1);
  const halfsplit::Node* table = fields.table("nets");
  if (!table && !document.find("nets")) fields.fail("nets is missing", document.place, "write [nets], then one line a net");
  NetReader reader(unit, errors);
  if (table)
    for (const Member& member : table->members) reader.read(member);
  fields.finish();
}

namespace {

std::optional<double> coordinate(std::string_view text) {
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc() || end != text.data() + text.size() || !std::isfinite(value)) return std::nullopt;
  return value;
}

void read_pin_places(const halfsplit::Node& text, PartSpec& part, Errors& errors) {
  for (const Piece& piece : pieces_of(text.text)) {
    const std::size_t at = piece.text.rfind('@');
    const std::size_t comma = at == std::string_view::npos ? at : piece.text.find(',', at);
    const auto x = comma == std::string_view::npos ? std::nullopt : coordinate(piece.text.substr(at + 1, comma - at - 1));
    const auto y = comma == std::string_view::npos ? std::nullopt : coordinate(piece.text.substr(comma + 1));
    if (x && y && at > 0) part.pin_at.emplace_back(std::string(piece.text.substr(0, at)), Position{*x, *y});
    else errors.add(bad_input(fmt::format("{} is no pin with its place", in_quotes(piece.text)), inside(text, piece.offset), "write pin@x,y in millimetres: 14@12.5,40"));
  }
}

}  // namespace

void read_layout_file(const halfsplit::Node& document, UnitSpec& unit, Errors& errors) {
  Fields fields(document, errors);
  fields.need_format(1);
  const halfsplit::Node* table = fields.table("pins");
  fields.finish();
  if (!table) return;
  std::unordered_map<std::string, PartSpec*> by_ref;
  std::vector<std::string> refs;
  for (PartSpec& part : unit.parts) {
    by_ref.emplace(part.ref, &part);
    refs.push_back(part.ref);
  }
  for (const Member& member : table->members) {
    const auto part = by_ref.find(member.key);
    if (part == by_ref.end()) {
      const auto near = did_you_mean(member.key, refs);
      errors.add(bad_input(fmt::format("there is no part {}", in_quotes(member.key)), member.place, near ? "did you mean " + *near + "?" : ""));
    } else if (member.value.kind != halfsplit::Node::Kind::text) {
      errors.add(bad_input("the places of pins are a text", member.value.place, "as in U5 = \"1@12.5,40 2@12.5,42.5\""));
    } else {
      read_pin_places(member.value, *part->second, errors);
    }
  }
}

}  // namespace halfsplit::board
