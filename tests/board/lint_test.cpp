#include "board/lint.h"

#include "board/amendment.h"
#include "sample.h"

using namespace halfsplit;
using namespace halfsplit::board;
using sample::bell;
using sample::changed;
using sample::says;

namespace {

std::vector<Finding> found(const SpecFiles& files, const std::string& kind) {
  std::vector<Finding> out;
  for (Finding& finding : lint(*sample::machine(files)))
    if (finding.kind == kind) out.push_back(std::move(finding));
  return out;
}

/// The only finding of that kind.
Finding one(const SpecFiles& files, const std::string& kind) {
  const auto all = found(files, kind);
  REQUIRE(all.size() == 1);
  return all.front();
}

}  // namespace

TEST_CASE("a good drawing has nothing but notes") {
  for (const SpecFiles& files : {bell(), sample::organ()})
    for (const Finding& finding : lint(*sample::machine(files))) {
      CAPTURE(finding.kind);
      CHECK_MESSAGE(finding.grade == Finding::Grade::note, finding.message);
    }
}

TEST_CASE("supply and ground pins on the wrong net are errors") {
  const auto without_vcc = changed(bell(), "nets.toml", "U1.14 U2.20", "U2.20");
  Finding finding = one(without_vcc, "wrong-rail");
  CHECK(finding.grade == Finding::Grade::error);
  CHECK(says(finding.message, "U1.14"));
  CHECK(says(finding.message, "connected to nothing"));
  finding = one(changed(without_vcc, "nets.toml", "BELL = \"", "BELL = \"U1.14 "), "wrong-rail");
  CHECK(says(finding.message, "wants 5 V and is on the signal \"BELL\""));
  finding = one(changed(without_vcc, "nets.toml", "GND = \"", "GND = \"U1.14 "), "wrong-rail");
  CHECK(says(finding.message, "is on the ground"));
  finding = one(changed(bell(), "nets.toml", "GND = \"U1.7 ", "OTHER = \"U1.7\"\nGND = \""), "wrong-rail");
  CHECK(says(finding.message, "the ground pin U1.7 (GND) is on the signal"));
  finding = one(changed(bell(), "nets.toml", "GND = \"U1.7 U2.10", "GND = \"U2.10"), "wrong-rail");
  CHECK(says(finding.message, "the ground pin U1.7 (GND) is connected to nothing"));
}

TEST_CASE("a rail of other volts is an error and one a little off is not") {
  const auto twelve = found(changed(bell(), "board.toml", "volts = 5", "volts = 12"), "wrong-rail");
  REQUIRE(twelve.size() == 2);
  CHECK(says(twelve[0].message, "wants 5 V"));
  CHECK(says(twelve[0].message, "with 12 V"));
  CHECK(found(changed(bell(), "board.toml", "volts = 5", "volts = 4.8"), "wrong-rail").empty());
  CHECK(found(changed(bell(), "board.toml", "volts = 5", "volts = -5"), "wrong-rail").size() == 2);
}

TEST_CASE("a supply through a coil or a small resistor is a supply") {
  auto files = changed(bell(), "parts.toml", "C1 = \"capacitor .1\"", "C1 = \"capacitor .1\"\nR2 = \"resistor 10\"");
  files = changed(files, "nets.toml", "\"U1.14 U2.20\", ", "\"U2.20 R2.1\", ");
  files = changed(files, "nets.toml", "OUT = ", "VCC1 = \"R2.2 U1.14\"\nOUT = ");
  CHECK(found(files, "wrong-rail").empty());
  CHECK(found(changed(files, "parts.toml", "resistor 10", "resistor 10k"), "wrong-rail").size() == 1);
  CHECK(found(changed(files, "parts.toml", "resistor 10", "ferrite-bead"), "wrong-rail").empty());
}

TEST_CASE("an input that nothing drives is a warning") {
  const auto dead = changed(bell(), "nets.toml", "OUT = \"U2.16\"", "OUT = \"U2.16\"\nDEAD = \"U2.6 U2.8\"");
  const Finding finding = one(dead, "undriven-input");
  CHECK(finding.grade == Finding::Grade::warning);
  CHECK(says(finding.message, "\"DEAD\""));
  CHECK(finding.pins.size() == 2);
  const auto moved = [&](const char* was, const char* now, const char* pin) {
    return changed(changed(dead, "nets.toml", was, now), "nets.toml", "DEAD = \"", std::string("DEAD = \"") + pin + " ");
  };
  CHECK(found(moved("U2.18 J1.4", "U2.18", "J1.4"), "undriven-input").empty());      // a connector brings it in
  CHECK(found(moved("SW1.1 R1.2", "SW1.1", "R1.2"), "undriven-input").empty());      // pulled up
  CHECK(says(one(moved("JP1.2 U2.4", "U2.4", "JP1.2"), "undriven-input").message, "~{WR}"));  // U1.4 through a jumper feeds DEAD now
  auto fed = dead;
  fed["board.toml"] += "[[source]]\nnet = \"DEAD\"\n";
  CHECK(found(fed, "undriven-input").empty());
}

TEST_CASE("a coupling capacitor is no drive and an absent driver none either") {
  auto files = changed(bell(), "nets.toml", "OUT = \"U2.16\"", "OUT = \"U2.16\"\nDEAD = \"U2.6 C1.1\"");
  files = changed(files, "nets.toml", "J1.2 C1.1", "J1.2");
  CHECK(found(files, "undriven-input").size() == 1);
  const auto absent = changed(bell(), "parts.toml", "U1 = \"7404 LS\"", "U1 = { type = \"7404\", family = \"LS\", fitted = false }");
  REQUIRE(found(absent, "undriven-input").size() == 2);
  CHECK(says(found(absent, "undriven-input")[0].message, "NCLK"));
}

TEST_CASE("a plugged connector brings in only what comes through the plug") {
  CHECK(found(sample::organ(), "undriven-input").size() == 0);
  const auto dead = changed(changed(sample::organ(), "kbd/nets.toml", "J1.2 SW1.2", "SW1.2"), "scan/nets.toml", "U1.3 R1.2", "U1.3");
  CHECK(says(one(dead, "undriven-input").message, "COL"));
}

TEST_CASE("open inputs are told by family and use") {
  const auto with = [](const std::string& type) {
    auto files = changed(bell(), "parts.toml", "U1 = \"7404 LS\"", "U1 = \"" + type + "\"");
    return changed(files, "nets.toml", "U1.1 J1.3", "J1.3");
  };
  const auto ttl = found(with("7404 LS"), "floating-input");
  CHECK(std::all_of(ttl.begin(), ttl.end(), [](const Finding& f) { return f.grade == Finding::Grade::note; }));
  const auto hc = found(with("7404 HC"), "floating-input");
  const auto used = std::find_if(hc.begin(), hc.end(), [](const Finding& f) { return f.grade == Finding::Grade::warning; });
  REQUIRE(used != hc.end());
  CHECK(says(used->message, "U1.1 (1A)"));
  CHECK_FALSE(says(used->message, "U1.9"));
  const auto unused = std::find_if(hc.begin(), hc.end(), [](const Finding& f) { return says(f.message, "unused section"); });
  REQUIRE(unused != hc.end());
  CHECK(unused->grade == Finding::Grade::note);
  CHECK(says(unused->message, "U1.9"));
}

TEST_CASE("two outputs that always drive fight") {
  auto files = changed(bell(), "parts.toml", "C1 = \"capacitor .1\"", "C1 = \"capacitor .1\"\nU3 = \"7404 LS\"");
  files = changed(files, "nets.toml", "U1.14 U2.20", "U1.14 U2.20 U3.14");
  files = changed(files, "nets.toml", "GND = \"U1.7", "GND = \"U3.1 U3.7 U1.7");
  CHECK(found(files, "two-outputs").empty());
  files = changed(files, "nets.toml", "U1.4 JP1.1", "U1.4 U3.2 JP1.1");
  const Finding finding = one(files, "two-outputs");
  CHECK(finding.grade == Finding::Grade::error);
  CHECK(says(finding.message, "U1.4 (2Y), U3.2 (1Y)"));
}

TEST_CASE("a function that nothing feeds is a warning") {
  const auto files = changed(changed(bell(), "machine.toml", "needs = [\"U2.18\", \"part ear\"]", "needs = [\"U2.6\", \"part ear\"]"), "nets.toml", "OUT = \"U2.16\"", "OUT = \"U2.16\"\nDEAD = \"U2.6\"");
  const Finding finding = one(files, "unfed-function");
  CHECK(finding.grade == Finding::Grade::warning);
  CHECK(says(finding.message, "rings"));
}

TEST_CASE("nets of one pin and parts of none are notes") {
  CHECK(says(one(bell(), "single-pin-net").message, "\"OUT\" has one pin, U2.16 (1Y1)"));
  const auto files = changed(bell(), "nets.toml", "C1.2\"", "\"");
  CHECK(found(files, "unconnected-part").empty());
  CHECK(says(one(changed(files, "nets.toml", "J1.2 C1.1", "J1.2"), "unconnected-part").message, "C1"));
}

TEST_CASE("values that can not be read and guessed types are notes") {
  CHECK(says(one(changed(bell(), "parts.toml", "4k7", "brown"), "unread-value").message, "\"brown\" of R1"));
  auto files = changed(bell(), "parts.toml", "JP1 = \"jumper-open\"", "JP1 = \"odd SX-1\"");
  files["types/odd.toml"] = "format = 1\nid = \"odd\"\ntitle = \"x\"\nclass = \"custom\"\ncustom = true\npins = [\"1 A passive\", \"2 B passive\"]\n";
  CHECK(says(one(files, "custom-type").message, "JP1 (SX-1)"));
}

TEST_CASE("a machine without a ground is told") {
  const auto files = changed(bell(), "board.toml", "grounds = [\"GND\"]", "");
  CHECK(one(files, "no-ground").grade == Finding::Grade::error);
}

TEST_CASE("the worst comes first and then the parts in natural order") {
  auto files = changed(bell(), "nets.toml", "U1.14 U2.20\", \"R1.1 ", "R1.1\", \"");
  files = changed(files, "nets.toml", "OUT = \"U2.16\"", "OUT = \"U2.16\"\nDEAD = \"U2.6\"");
  const auto all = lint(*sample::machine(files));
  REQUIRE(all.size() >= 4);
  CHECK(says(all[0].message, "U1.14"));
  CHECK(says(all[1].message, "U2.20"));
  CHECK(all[2].kind == "undriven-input");
  for (std::size_t i = 1; i < all.size(); ++i) CHECK(all[i - 1].grade <= all[i].grade);
}
