#include "netlist/deviation.h"

#include <array>

namespace halfsplit::netlist {

namespace {

struct Words {
  const char* id;
  const char* title;
};

constexpr std::array<Words, kDeviationKinds> kWords = {{
    {"byte-order-mark", "the text starts with a byte-order mark"},
    {"text-utf16", "the text is UTF-16"},
    {"text-not-ascii", "a line holds characters that are not ASCII"},
    {"line-over-80", "a record is longer than 80 columns"},
    {"line-padded", "a line is filled up with blanks at its end"},
    {"line-blank", "an empty line"},
    {"tab-in-line", "a tab where the format wants blanks"},
    {"header-missing", "a header line (JOB, VER, TITLE or IMAGE) is missing"},
    {"parameter-unknown", "a parameter the format does not know"},
    {"parameter-extra", "a parameter outside the standard's list (FORM, DIM, TOL, AREA)"},
    {"units-missing", "the units are not stated, or not in a known way; taken from the spacing of the pins"},
    {"units-contradict", "the stated units contradict the spacing of the pins; the spacing is believed"},
    {"image-further", "records of a further image"},
    {"end-missing", "the closing 999 is missing: the file may be cut off"},
    {"text-after-end", "text after the closing 999"},
    {"record-unknown", "a record code the format does not know"},
    {"record-not-used", "a record that says nothing about pins and nets (088, 099, 309, 390)"},
    {"mask-early", "the solder mask flag stands one column early"},
    {"mask-number", "the solder mask flag is no digit from 0 to 3"},
    {"round-as-zero", "a round pad is given by height 0000"},
    {"round-as-absent", "a round pad is given by leaving its height out"},
    {"round-as-equal", "a pad has height equal to width"},
    {"record-short", "a record ends after its coordinates"},
    {"numbers-blank-padded", "a number is filled up with blanks in place of zeros"},
    {"coordinates-off-column", "the coordinates do not stand in columns 42-57"},
    {"coordinates-missing", "a record without coordinates"},
    {"plating-without-hole", "a P or U where there is no hole"},
    {"hole-without-plating", "a hole that is neither P nor U"},
    {"side-by-layer-count", "a side is numbered by layer count"},
    {"via-without-net", "a via on no net"},
    {"via-with-dash", "a dash after VIA"},
    {"via-without-middle", "a via without its M"},
    {"reference-blank-inside", "a reference with a blank inside"},
    {"reference-over-width", "a reference longer than its six columns"},
    {"reference-may-be-cut", "a reference fills its six columns and may be cut"},
    {"reference-missing", "a point without a reference"},
    {"reference-unnumbered", "a reference that was never numbered"},
    {"hole-with-reference", "an unplated hole that belongs to a part"},
    {"hole-plated", "a plated mounting hole without a pin"},
    {"dash-missing", "no dash between reference and pin"},
    {"pin-missing", "a pad without a pin number"},
    {"pin-word", "a pin that is not a plain number"},
    {"name-over-width", "a net name longer than its 14 columns"},
    {"continuation-alone", "a continuation with nothing to continue"},
    {"unconnected-blank", "an unconnected pin with a blank net name"},
    {"unconnected-nc", "an unconnected pin on N/C"},
    {"unconnected-named", "an unconnected pin with a made-up net of its own"},
    {"net-single-pin", "a named net with one pin only"},
    {"pin-several-pads", "a pin with several pads"},
    {"reference-duplicate", "one reference for several parts, told apart by a number"},
    {"pin-on-two-nets", "one pin on two nets: kept apart as a second part of that reference"},
    {"name-cut", "a net name that fills its 14 columns and may be cut"},
    {"name-made-unique", "a net name made unique by #n"},
    {"name-escaped", "an escape inside a net name"},
    {"name-sheet-path", "a net name with its sheet path"},
    {"name-suffixed", "a net name made unique by {n}"},
    {"names-upper-case", "net names turned to capitals"},
    {"alias-short", "an alias number of fewer than five characters"},
    {"alias-with-blank", "an alias for a net name with blanks"},
    {"alias-in-comment", "an alias defined in a comment"},
    {"alias-undefined", "an alias that is used but not defined"},
    {"alias-repeated", "an alias defined twice; the first counts"},
    {"alias-same-name", "two aliases for the same name: kept apart"},
    {"outline-without-aperture", "an outline without an aperture"},
    {"conductor-unreadable", "a piece of a conductor or outline that can't be read"},
    {"neighbour-unknown", "a neighbour list names an unknown net"},
    {"component-unreadable", "a resistor, capacitor or inductor record that can't be read"},
    {"separator-other", "cells parted by semicolons or tabs"},
    {"header-variant", "a column under another name"},
    {"rows-before-header", "rows before the column names"},
    {"row-short", "a row with fewer cells than columns"},
    {"row-long", "a row with more cells than columns"},
    {"row-repeated", "the same pin listed twice"},
    {"pin-type-unknown", "a pin type that is not known"},
    {"quantity-disagrees", "a quantity that disagrees with the number of references"},
    {"row-without-reference", "a line of the parts list without a reference (sockets, screws)"},
    {"reference-repeated", "a reference listed twice; the first counts"},
    {"reference-range", "a range of references"},
    {"value-column-missing", "no column of values; taken from another column"},
    {"value-says-not-fitted", "a value that says the part is not fitted"},
    {"fitted-unreadable", "a word in the column of fitted parts that is neither yes nor no"},
}};

}  // namespace

const char* id_of(DeviationKind kind) noexcept { return kWords[static_cast<std::size_t>(kind)].id; }
const char* title_of(DeviationKind kind) noexcept { return kWords[static_cast<std::size_t>(kind)].title; }

std::optional<DeviationKind> deviation_named(std::string_view id) {
  for (std::size_t i = 0; i < kDeviationKinds; ++i)
    if (id == kWords[i].id) return static_cast<DeviationKind>(i);
  return std::nullopt;
}

void Deviations::add(DeviationKind kind, std::size_t line, std::size_t column, std::size_t count) {
  Tally& tally = tally_[static_cast<std::size_t>(kind)];
  if (tally.count == 0) {
    tally.line = static_cast<std::uint32_t>(line);
    tally.column = static_cast<std::uint32_t>(column);
  }
  tally.count += count;
}

std::vector<Deviation> Deviations::list() const {
  std::vector<Deviation> met;
  for (std::size_t i = 0; i < kDeviationKinds; ++i) {
    const Tally& tally = tally_[i];
    if (tally.count == 0) continue;
    Place first;
    first.file = file_;
    first.line = tally.line;
    first.column = tally.column;
    met.push_back({static_cast<DeviationKind>(i), tally.count, first});
  }
  return met;
}

}  // namespace halfsplit::netlist
