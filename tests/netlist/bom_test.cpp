#include "netlist/bom.h"

#include <doctest/doctest.h>

#include "netlist/bom_references.h"

using namespace halfsplit;
using namespace halfsplit::netlist;

namespace {

Bom read(const std::string& text) {
  Result<Bom> bom = read_bom(text, "bom.csv");
  REQUIRE_MESSAGE(bom.ok(), (bom.ok() ? "" : bom.error().text()));
  return std::move(*bom);
}

std::size_t count(const Bom& bom, DeviationKind kind) {
  for (const Deviation& deviation : bom.deviations)
    if (deviation.kind == kind) return deviation.count;
  return 0;
}

}  // namespace

TEST_CASE("a plain parts list") {
  const Bom bom = read("Ref,Value,Footprint,Fitted\nU4,74LS138,DIP-16,yes\nR1,4k7,axial,no\n");
  CHECK(bom.deviations.empty());
  REQUIRE(bom.find("U4") != nullptr);
  CHECK(bom.find("U4")->value == "74LS138");
  CHECK(bom.find("U4")->footprint == "DIP-16");
  CHECK(bom.find("U4")->place.line == 2);
  CHECK_FALSE(bom.find("R1")->fitted);
  CHECK(bom.find("R2") == nullptr);
}

TEST_CASE("headers and quantities and marks as they are met") {
  for (const char* header : {"Designator", "Reference", "Ref", "Reference(s)", "Reference Designator", "RefDes", "Parts"})
    for (const char* quantity : {"Qty", "Qnty", "Quantity", "Requested Quantity"}) {
      const Bom bom = read("\xef\xbb\xbf" + std::string(header) + "," + quantity + ", Value\n\"C1, C2 C3\",3,.1\nC4,2,10u\n");
      CHECK(bom.entries.size() == 4);
      CHECK(bom.find("C2")->value == ".1");
      CHECK(count(bom, DeviationKind::byte_order_mark) == 1);
      CHECK(count(bom, DeviationKind::quantity_disagrees) == 1);
    }
}

TEST_CASE("lines without a reference are kept apart") {
  const Bom bom = read("Ref,Value\n-,16-pin socket\n,heatsink\nU1,7805\n");
  CHECK(bom.entries.size() == 1);
  REQUIRE(bom.extras.size() == 2);
  CHECK(bom.extras[0].value == "16-pin socket");
  CHECK(count(bom, DeviationKind::row_without_reference) == 2);
}

TEST_CASE("references in one cell") {
  const auto refs = [](std::string_view cell, bool ranges = true) { return references_in(cell, ranges).refs; };
  using List = std::vector<std::string>;
  CHECK(refs("R1,R2; R3") == List{"R1", "R2", "R3"});
  CHECK(refs("R1 R2") == List{"R1", "R2"});
  CHECK(refs("BANK 0") == List{"BANK 0"});
  CHECK(refs("R1-R3") == List{"R1", "R2", "R3"});
  CHECK(refs("R9..R11, C1") == List{"R9", "R10", "R11", "C1"});
  CHECK(refs("R1-3") == List{"R1", "R2", "R3"});
  CHECK(refs("R1-R3", false) == List{"R1-R3"});
  CHECK(refs("R3-R1") == List{"R3-R1"});
  CHECK(refs("R1-C3") == List{"R1-C3"});
  CHECK(refs("R1-R99999") == List{"R1-R99999"});
  CHECK(references_in("-").none);
  CHECK(references_in(" ").none);
}

TEST_CASE("a range is no range when the quantity says one") {
  CHECK(read("Ref,Value,Qty\nJ1-2,plug,1\n").find("J1-2") != nullptr);
  const Bom range = read("Ref,Value,Qty\nJ1-2,plug,2\n");
  CHECK(range.find("J2") != nullptr);
  CHECK(count(range, DeviationKind::reference_range) == 1);
}

TEST_CASE("not fitted is said in several ways") {
  const Bom bom = read("Ref,Value,DNP\nR1,DNP,\nR2,1k,DNP\nR3,1k,x\nR4,1k,no\nR5,1k,perhaps\nR6,NC,\n");
  CHECK_FALSE(bom.find("R1")->fitted);
  CHECK_FALSE(bom.find("R2")->fitted);
  CHECK_FALSE(bom.find("R3")->fitted);
  CHECK(bom.find("R4")->fitted);
  CHECK(bom.find("R5")->fitted);
  CHECK_FALSE(bom.find("R6")->fitted);
  CHECK(count(bom, DeviationKind::value_says_not_fitted) == 2);
  CHECK(count(bom, DeviationKind::fitted_unreadable) == 1);
}

TEST_CASE("titles above the header and missing value columns") {
  const Bom bom = read("Osprill Home 8 parts list\nDate:,today\nRef,Description,Order No\nU1,8-bit latch 74LS373,123\nU1,again,4\nU2\nU3,a,b,c\n");
  CHECK(bom.find("U1")->value == "8-bit latch 74LS373");
  CHECK(count(bom, DeviationKind::rows_before_header) == 2);
  CHECK(count(bom, DeviationKind::value_column_missing) == 1);
  CHECK(count(bom, DeviationKind::reference_repeated) == 1);
  CHECK(count(bom, DeviationKind::row_short) == 1);
  CHECK(count(bom, DeviationKind::row_long) == 1);
  CHECK(bom.notes.size() == 1);
}

TEST_CASE("other encodings and separators") {
  const Bom latin = read("Ref;Value\r\nC1;10 \xb5" "F\r\n");
  CHECK(latin.find("C1")->value == "10 \xc2\xb5" "F");
  CHECK(count(latin, DeviationKind::separator_other) == 1);
  std::string wide = "\xff\xfe";
  for (const char c : std::string("Ref\tValue\nC1\t1u\n")) wide += std::string(1, c) + std::string(1, '\0');
  const Bom utf16 = read(wide);
  CHECK(utf16.find("C1")->value == "1u");
  CHECK(count(utf16, DeviationKind::text_utf16) == 1);
}

TEST_CASE("a written parts list reads back in every style") {
  const std::vector<BomEntry> entries = {{"R1", "4k7", "axial", "", true, {}}, {"R10", "4k7", "axial", "", true, {}}, {"R2", "1k, 1 %", "axial", "", false, {}},
                                         {"BANK 0", "MEM \"A\"", "", "", true, {}}};
  for (int bits = 0; bits < 32; ++bits) {
    const BomStyle style{(bits & 1) != 0, (bits & 2) != 0, (bits & 4) != 0, (bits & 8) != 0, (bits & 16) != 0};
    const Bom bom = read(write_bom(entries, style));
    REQUIRE(bom.entries.size() == entries.size());
    for (const BomEntry& entry : entries) {
      REQUIRE(bom.find(entry.ref) != nullptr);
      CHECK(bom.find(entry.ref)->value == entry.value);
      CHECK(bom.find(entry.ref)->footprint == entry.footprint);
      CHECK(bom.find(entry.ref)->fitted == entry.fitted);
    }
    CHECK(bom.extras.size() == (style.extra_row ? 1 : 0));
  }
}

TEST_CASE("bad parts lists are refused") {
  const auto refused = [](const std::string& text) {
    const Result<Bom> bom = read_bom(text, "bom.csv");
    REQUIRE_FALSE(bom.ok());
    return bom.error();
  };
  CHECK(refused("").message == "no column of references");
  const Error error = refused("Item,Price\n1,2\n");
  CHECK(error.message.find("\"Item\", \"Price\"") != std::string::npos);
  CHECK(error.hint.find("Designator") != std::string::npos);
  CHECK(refused("Ref,Value\nR1,\"open\n").place.line == 2);
  CHECK(refused(std::string("Ref,Value\nR1,\0\n", 15)).message.find("NUL") != std::string::npos);
}
