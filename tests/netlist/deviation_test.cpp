#include "netlist/deviation.h"

#include <doctest/doctest.h>

#include <set>
#include <string>

#include "netlist/ipc356.h"
#include "records.h"

using namespace halfsplit;
using namespace halfsplit::netlist;
using Kind = DeviationKind;
using records::Fields;

namespace {

Netlist read(const std::string& text) {
  Result<Netlist> netlist = read_ipc356(text, "deviant.ipc");
  REQUIRE_MESSAGE(netlist.ok(), (netlist.ok() ? "" : netlist.error().text()));
  return std::move(*netlist);
}

Netlist read_line(const Fields& fields) { return read(records::file(records::line(fields))); }

/// Kinds met, as words, without what nearly every line has.
std::set<std::string> met(const Netlist& netlist) {
  std::set<std::string> out;
  for (const Deviation& deviation : netlist.deviations)
    if (deviation.kind != Kind::net_single_pin) out.insert(id_of(deviation.kind));
  return out;
}
using Words = std::set<std::string>;

Fields with(std::string Fields::*field, std::string value) {
  Fields fields;
  fields.*field = std::move(value);
  return fields;
}

}  // namespace

TEST_CASE("every deviation has a word of its own and is found by it") {
  std::set<std::string> words;
  for (std::size_t i = 0; i < kDeviationKinds; ++i) {
    const auto kind = static_cast<Kind>(i);
    words.insert(id_of(kind));
    CHECK(std::string(title_of(kind)).size() > 10);
    CHECK(deviation_named(id_of(kind)) == kind);
  }
  CHECK(words.size() == kDeviationKinds);
  CHECK_FALSE(deviation_named("no-such"));
}

TEST_CASE("a clean record has no deviation and all its fields") {
  const Netlist netlist = read_line({});
  CHECK(met(netlist).empty());
  REQUIRE(netlist.parts.size() == 1);
  const Pad& pad = netlist.parts[0].pins[0].pads[0];
  CHECK(pad.at->x_mm == doctest::Approx(30.48));
  CHECK(pad.at->y_mm == doctest::Approx(20.32));
  CHECK(pad.drill_mm == doctest::Approx(0.8001));
  CHECK(pad.plated);
  CHECK(pad.side == Side::both);
  CHECK(pad.width_mm == doctest::Approx(1.6002));
  CHECK(netlist.title == "OSPRILL HOME 8");
  CHECK(netlist.revision == "B");
}

TEST_CASE("the mask flag may stand early and hold any number") {
  CHECK(met(read_line(with(&Fields::tail, "X0630Y0620R000S0"))) == Words{"mask-early"});
  CHECK(met(read_line(with(&Fields::tail, "X0630Y0620R000S820210691"))) == Words{"line-over-80", "mask-early", "mask-number"});
  CHECK(met(read_line(with(&Fields::tail, "X0630Y0620R000S-34689706"))) == Words{"line-over-80", "mask-early", "mask-number"});
  CHECK(met(read_line(with(&Fields::tail, "X0630Y0620R000 S-1"))) == Words{"mask-number"});
  CHECK(met(read_line(with(&Fields::tail, "X0630Y0620R000 S3"))).empty());
}

TEST_CASE("sizes may be round in three ways or missing") {
  CHECK(met(read_line(with(&Fields::tail, "X0630Y0000R000 S0"))) == Words{"round-as-zero"});
  CHECK(met(read_line(with(&Fields::tail, "X0630Y0630R000 S0"))) == Words{"round-as-equal"});
  CHECK(met(read_line(with(&Fields::tail, "X0630          S0"))) == Words{"round-as-absent"});
  CHECK(met(read_line(with(&Fields::tail, ""))) == Words{"record-short"});
  CHECK(read_line(with(&Fields::tail, "X0630Y0000R000 S0")).parts[0].pins[0].pads[0].height_mm == doctest::Approx(1.6002));
}

TEST_CASE("numbers may be filled up with blanks") {
  Fields fields;
  fields.hole = "D  31P";
  fields.x = "X  12000";
  fields.y = "Y   8000";
  fields.tail = "X 630Y 620R 90 S0";
  const Netlist netlist = read_line(fields);
  CHECK(met(netlist) == Words{"numbers-blank-padded"});
  CHECK(netlist.parts[0].pins[0].pads[0].at->x_mm == doctest::Approx(30.48));
  CHECK(netlist.parts[0].pins[0].pads[0].drill_mm == doctest::Approx(0.07874));
}

TEST_CASE("coordinates may stand off their columns or be missing") {
  Fields fields;
  fields.middle = "M  ";
  std::string off = records::line(fields);
  off.insert(32, "  ");
  const Netlist shifted = read(records::file(off));
  CHECK(met(shifted) == Words{"coordinates-off-column"});
  CHECK(shifted.parts[0].pins[0].pads[0].at->y_mm == doctest::Approx(20.32));
  CHECK(shifted.parts[0].pins[0].pads[0].drill_mm == doctest::Approx(0.8001));
  CHECK(shifted.parts[0].pins[0].pads[0].middle);
  Fields none;
  none.x = none.y = none.tail = "";
  const Netlist blind = read_line(none);
  CHECK(met(blind) == Words{"coordinates-missing"});
  CHECK(blind.parts[0].pins[0].number == "1");
}

TEST_CASE("holes and plating may disagree") {
  Fields flat = with(&Fields::hole, "     P");
  flat.code = "327";
  CHECK(met(read_line(flat)) == Words{"plating-without-hole"});
  CHECK(met(read_line(with(&Fields::hole, "D0315 "))) == Words{"hole-without-plating"});
}

TEST_CASE("sides are numbered by layer count and the last is the bottom") {
  Fields bottom = with(&Fields::access, "A04");
  Fields inner = with(&Fields::access, "A02");
  inner.pin = "2";
  const Netlist netlist = read(records::file(records::line(bottom) + records::line(inner)));
  CHECK(met(netlist) == Words{"side-by-layer-count"});
  CHECK(netlist.parts[0].pins[0].pads[0].side == Side::bottom);
  CHECK(netlist.parts[0].pins[1].pads[0].side == Side::inner);
  CHECK(read_line(with(&Fields::access, "A02")).parts[0].pins[0].pads[0].side == Side::bottom);
  CHECK(read_line(with(&Fields::access, "A01")).parts[0].pins[0].pads[0].side == Side::top);
}

TEST_CASE("vias may lack net or M or have a dash") {
  Fields via;
  via.ref = "VIA";
  via.pin = "";
  via.dash = " ";
  via.middle = "M";
  const std::string pin = records::line({});
  CHECK(met(read(records::file(pin + records::line(via)))).empty());
  CHECK(read(records::file(pin + records::line(via))).nets[0].vias.size() == 1);
  via.middle = " ";
  CHECK(met(read(records::file(pin + records::line(via)))) == Words{"via-without-middle"});
  via.middle = "M";
  via.dash = "-";
  CHECK(met(read(records::file(pin + records::line(via)))) == Words{"via-with-dash"});
  via.dash = " ";
  via.net = "N/C";
  const Netlist loose = read(records::file(pin + records::line(via)));
  CHECK(met(loose) == Words{"via-without-net"});
  CHECK(loose.loose_vias.size() == 1);
}

TEST_CASE("references may hold blanks or run over or fill their columns") {
  const Netlist blank = read_line(with(&Fields::ref, "ROW 2"));
  CHECK(met(blank) == Words{"reference-blank-inside"});
  CHECK(blank.parts[0].ref == "ROW 2");
  CHECK(met(read_line(with(&Fields::ref, "KEYB11"))) == Words{"reference-may-be-cut"});
  // seven characters push dash and pin along, the rest stays in its columns
  std::string wide = records::line(with(&Fields::ref, "KEYB11"));
  wide.replace(20, 11, "KEYB112-1  ");
  const Netlist over = read(records::file(wide));
  CHECK(met(over) == Words{"reference-over-width"});
  CHECK(over.parts[0].ref == "KEYB112");
  CHECK(over.parts[0].pins[0].number == "1");
  CHECK(met(read_line(with(&Fields::ref, "SW**"))) == Words{"reference-unnumbered"});
  Fields none = with(&Fields::ref, "");
  none.pin = none.dash = "";
  const Netlist point = read(records::file(records::line({}) + records::line(none)));
  CHECK(met(point) == Words{"reference-missing"});
  CHECK(point.nets[0].vias.size() == 1);
}

TEST_CASE("holes belong to parts or stand alone") {
  Fields peg;
  peg.code = "367";
  peg.net = "N/C";
  peg.ref = "SW7";
  peg.dash = peg.pin = "";
  peg.hole = "D1260U";
  const Netlist netlist = read(records::file(records::line({}) + records::line(peg)));
  CHECK(met(netlist) == Words{"hole-with-reference"});
  REQUIRE(netlist.holes.size() == 1);
  CHECK(netlist.holes[0].ref == "SW7");
  CHECK(netlist.holes[0].drill_mm == doctest::Approx(3.2004));
  CHECK_FALSE(netlist.holes[0].plated);
  peg.code = "317";
  peg.net = "STROBE";
  peg.hole = "D1260P";
  const Netlist plated = read(records::file(records::line({}) + records::line(peg)));
  CHECK(met(plated) == Words{"hole-plated"});
  CHECK(plated.holes[0].plated);
  CHECK(plated.holes[0].net == NetIndex(0));
}

TEST_CASE("pins may be words or missing or without a dash") {
  for (const char* word : {"+", "-", "A", "C", "P$5", "A,1"}) {
    const Netlist netlist = read_line(with(&Fields::pin, word));
    CHECK(met(netlist) == Words{"pin-word"});
    CHECK(netlist.parts[0].pins[0].number == word);
  }
  CHECK(met(read_line(with(&Fields::dash, " "))) == Words{"dash-missing"});
  const Netlist none = read_line(with(&Fields::pin, ""));
  CHECK(met(none) == Words{"pin-missing"});
  CHECK(none.parts[0].pins[0].number == "1");
}

TEST_CASE("unconnected pins are written in three ways") {
  const Netlist blank = read_line(with(&Fields::net, ""));
  CHECK(met(blank) == Words{"unconnected-blank"});
  CHECK_FALSE(blank.parts[0].pins[0].net.known());
  CHECK(met(read_line(with(&Fields::net, "N/C"))) == Words{"unconnected-nc"});
  const Netlist named = read_line(with(&Fields::net, "ED-(U4-QB-PAD1"));
  CHECK(named.nets[0].lone);
  Fields own = with(&Fields::net, "D-(U4-QB-PAD1)");
  const Netlist cut = read_line(own);
  CHECK(met(cut) == Words{"name-cut", "unconnected-named"});
  CHECK(cut.nets[0].name == "net at U4.1");
  CHECK(cut.parts[0].pins[0].name == "QB");
}

TEST_CASE("names may be cut or made unique or escaped or suffixed") {
  CHECK(met(read_line(with(&Fields::net, "LONG_NAME_OF_1"))) == Words{"name-cut"});
  CHECK(met(read_line(with(&Fields::net, "STROBE#1"))) == Words{"name-made-unique"});
  CHECK(met(read_line(with(&Fields::net, "MEM?{SLASH}OE"))) == Words{"name-escaped"});
  CHECK(read_line(with(&Fields::net, "MEM?{SLASH}OE")).nets[0].name == "MEM_/OE");
  CHECK(met(read_line(with(&Fields::net, "/KEYS/ROW1"))) == Words{"name-sheet-path"});
  CHECK(met(read_line(with(&Fields::net, "GND{1}"))) == Words{"name-suffixed"});
  std::string wide = records::line({});
  wide.replace(3, 16, "A_WIDE_NET_NAME_");
  const Netlist over = read(records::file(wide));
  CHECK(met(over) == Words{"name-over-width"});
  CHECK(over.nets[0].raw == "A_WIDE_NET_NAME_");
  CHECK(met(read(records::file(records::line(with(&Fields::net, "NET-(U4-B)")) + records::line(with(&Fields::pin, "2"))))) ==
        Words{"names-upper-case", "unconnected-named"});
}

TEST_CASE("aliases are short or in comments or with blanks or missing") {
  const auto aliased = [](const std::string& definition, const std::string& field) {
    return read(records::file(definition + "\n" + records::line(with(&Fields::net, field))));
  };
  const Netlist proper = aliased("P  NNAME00001 A_NAME_OF_MORE_THAN_FOURTEEN", "NNAME00001");
  CHECK(met(proper).empty());
  CHECK(proper.nets[0].raw == "A_NAME_OF_MORE_THAN_FOURTEEN");
  CHECK(proper.nets[0].alias == "NNAME00001");
  const Netlist short_key = aliased("P  NNAME1 A_NAME_OF_MORE_THAN_FOURTEEN", "NNAME1");
  CHECK(met(short_key) == Words{"alias-short"});
  CHECK(short_key.nets[0].raw == "A_NAME_OF_MORE_THAN_FOURTEEN");
  const Netlist blanks = aliased("P  NNAME1     TAPE LEVEL", "NNAME1");
  CHECK(met(blanks) == Words{"alias-short", "alias-with-blank"});
  CHECK(blanks.nets[0].name == "TAPE LEVEL");
  const Netlist comment = aliased("C  NNAMEm0007 UNNAMED_3_RES_I9_N2", "m0007");
  CHECK(met(comment) == Words{"alias-in-comment", "unconnected-named"});
  CHECK(comment.nets[0].name == "net at U4.1");
  CHECK(met(aliased("C  no alias here", "NNAME00003")) == Words{"alias-undefined"});
  CHECK(met(aliased("P  NNAME00001 FIRST_NAME\nP  NNAME00001 SECOND_NAME", "NNAME00001")) == Words{"alias-repeated"});
}

TEST_CASE("two aliases for one name stay two nets") {
  const Netlist netlist = read(records::file("P  NNAME00001 SAME\nP  NNAME00002 SAME\n" + records::line(with(&Fields::net, "NNAME00001")) +
                                             records::line(with(&Fields::net, "NNAME00002"))));
  CHECK(netlist.nets.size() == 2);
  CHECK(netlist.nets[0].name != netlist.nets[1].name);
  CHECK(netlist.deviation_count(Kind::alias_same_name) == 1);
}

TEST_CASE("header and end and padding deviate") {
  const std::string pin = records::line({});
  CHECK(met(read("P  UNITS CUST 0\n" + pin + "999\n")) == Words{"header-missing"});
  CHECK(read("P  UNITS CUST 0\n" + pin + "999\n").deviation_count(Kind::header_missing) == 4);
  CHECK(met(read(records::header() + "P  arrayPitch N\n" + pin + "999\n")) == Words{"parameter-unknown"});
  CHECK(met(read(records::header() + "P  TOL    0 1\nP  FORM   A\nP  AREA1  0\nP  DIM    N\n" + pin + "999\n")) == Words{"parameter-extra"});
  CHECK(met(read(records::header() + pin)) == Words{"end-missing"});
  CHECK(met(read(records::file(pin) + "more\n")) == Words{"text-after-end"});
  CHECK(met(read(records::file(pin + "\n"))) == Words{"line-blank"});
  CHECK(met(read(records::file("C  a comment      \n" + pin))) == Words{"line-padded"});
  CHECK(met(read(records::file("P  IMAGE 2\n" + pin))) == Words{"image-further"});
  CHECK(met(read(records::file(pin + "099STROBE\n"))) == Words{"record-not-used"});
  CHECK(met(read(records::file(pin + "555STROBE\n"))) == Words{"record-unknown"});
  CHECK(met(read("\xef\xbb\xbf" + records::file(pin))) == Words{"byte-order-mark"});
  CHECK(met(read(records::file("027\n" + pin))) == Words{"continuation-alone", "coordinates-missing"});
  CHECK(met(read(records::file("C  2 \xb5m\n" + pin))) == Words{"text-not-ascii"});
}
