#include <doctest/doctest.h>

#include <algorithm>
#include <set>

#include "bench_block.h"
#include "fault/expand.h"
#include "fault/fault.h"

using namespace halfsplit;
using namespace halfsplit::fault;

namespace {

const board::Machine& machine() {
  static const auto made = bench_block::machine();
  return *made;
}
const Catalogue& catalogue() {
  static const Catalogue made = Catalogue::build(machine());
  return made;
}
board::PartId part(const char* ref) { return machine().find_part(ref).value(); }
std::vector<FaultId> faults_of(const char* ref) { return catalogue().faults_at(catalogue().site_of_part(part(ref)).value()); }
std::size_t count(const char* ref, Site::Kind kind, const std::string& mode = {}) {
  const auto all = faults_of(ref);
  return static_cast<std::size_t>(std::count_if(all.begin(), all.end(), [&](FaultId id) {
    const Fault& fault = catalogue().fault(id);
    return fault.site.kind == kind && (mode.empty() || fault.mode == mode);
  }));
}
bool describes(const char* ref, const std::string& text) {
  const auto all = faults_of(ref);
  return std::any_of(all.begin(), all.end(), [&](FaultId id) { return catalogue().describe(id, machine()) == text; });
}

}  // namespace

TEST_CASE("every fitted part is a site and the outside is one") {
  std::vector<std::string> names;
  for (std::size_t i = 0; i < catalogue().site_count(); ++i) names.push_back(catalogue().site_name(SiteId(i)));
  CHECK(std::is_sorted(names.begin(), names.end() - 1, [](const std::string& a, const std::string& b) { return natural_less(a, b); }));
  CHECK(names.back() == "outside the model");
  std::size_t fitted = 0;
  for (const board::Part& it : machine().parts()) fitted += it.fitted;
  CHECK(names.size() == fitted + 1);
  CHECK_FALSE(catalogue().site_of_part(part("U9")).has_value());
  CHECK(catalogue().faults_at(SiteId(names.size() - 1)).size() == 1);
  CHECK(catalogue().faults().back().site.kind == Site::Kind::outside);
}

TEST_CASE("every fault belongs to the site that lists it") {
  std::size_t listed = 0;
  for (std::size_t s = 0; s < catalogue().site_count(); ++s)
    for (const FaultId id : catalogue().faults_at(SiteId(s))) {
      CHECK(catalogue().site_of(id) == SiteId(s));
      ++listed;
    }
  CHECK(listed == catalogue().size());
  const Catalogue again = Catalogue::build(machine());
  REQUIRE(again.size() == catalogue().size());
  for (std::size_t i = 0; i < again.size(); ++i) CHECK(again.describe(FaultId(i), machine()) == catalogue().describe(FaultId(i), machine()));
}

TEST_CASE("modes of outputs and inputs come for connected pins only") {
  CHECK(count("U10", Site::Kind::part, "output-stuck-low") == 1);        // one of four gates is wired
  CHECK(count("U1", Site::Kind::part, "output-stuck-low") == 2);
  CHECK(count("U10", Site::Kind::part, "input-leaky-loads-the-line") == 2);
  CHECK(count("U10", Site::Kind::part, "supply-pins-short-or-hot") == 1);
}

TEST_CASE("memory bits and addresses are cells of their ports") {
  CHECK(count("U2", Site::Kind::part, "bit-stuck") == 2);
  CHECK(count("U2", Site::Kind::part, "cells-wrong-address-input-dead") == 1);
  for (const FaultId id : faults_of("U2"))
    if (catalogue().fault(id).mode == "bit-stuck" && machine().name_of(catalogue().fault(id).pin) == "U2.10") CHECK(catalogue().fault(id).bit == 1);
  CHECK(count("U3", Site::Kind::part, "wrong-content") == 1);
}

TEST_CASE("joints and drawing errors are of connected pins on a board") {
  CHECK(count("U10", Site::Kind::joint) == 5);
  CHECK(count("U10", Site::Kind::drawing) == 3);  // the two supply pins lie on no signal net
  CHECK(count("U1", Site::Kind::part, "unlisted") == 1);
  CHECK(count("brick", Site::Kind::joint) == 0);
  CHECK(count("brick", Site::Kind::part, "dead") == 1);
}

TEST_CASE("contacts of a plug are sites of their own and a plug has no joints") {
  board::PartId plug;
  for (std::size_t i = 0; i < machine().parts().size(); ++i)
    if (machine().parts()[i].ref.find('~') != std::string::npos) plug = board::PartId(i);
  REQUIRE(plug.known());
  const auto site = catalogue().site_of_part(plug);
  REQUIRE(site.has_value());
  std::set<Site> contacts;
  for (const FaultId id : catalogue().faults_at(*site)) {
    CHECK(catalogue().fault(id).site.kind != Site::Kind::joint);
    if (catalogue().fault(id).site.kind == Site::Kind::contact) contacts.insert(catalogue().fault(id).site);
  }
  CHECK(contacts.size() == 3);
}

TEST_CASE("a key can be stuck closed") {
  const auto all = faults_of("SW1");
  CHECK(std::any_of(all.begin(), all.end(), [&](FaultId id) {
    const Fault& fault = catalogue().fault(id);
    return fault.site.kind == Site::Kind::contact && fault.effect == parts::Effect::shorted && fault.mode == "stuck-closed";
  }));
}

TEST_CASE("a regulator can give nothing or its input") {
  CHECK(count("VR1", Site::Kind::part, "no-or-low-output") == 1);
  CHECK(count("VR1", Site::Kind::part, "short-through") == 1);
}

TEST_CASE("faults that come and go have a duty below one") {
  for (const Fault& fault : catalogue().faults()) CHECK((fault.effect == parts::Effect::intermittent) == (fault.duty < 1));
}

TEST_CASE("harmless modes of a capacitor are one fault each") {
  CHECK(count("C1", Site::Kind::part) == 4);  // short, leak or wrong value, open, unlisted
}

TEST_CASE("faults are told in plain words") {
  CHECK(describes("U10", "U10: output stuck low at U10.3 (1Y)"));
  CHECK(describes("U10", "U10.1 (1A): joint open"));
  CHECK(describes("U10", "U10.1 (1A): goes elsewhere than the drawing says"));
  CHECK(describes("U10", "U10: misbehaves in a way the library doesn't list"));
  CHECK(describes("R1", "R1: open"));
  CHECK(catalogue().describe(FaultId(catalogue().size() - 1), machine()) == "something the model does not hold");
}

TEST_CASE("unused pins count among the places of a mode") {
  const auto type = bench_block::library()->type("7400");
  REQUIRE(type.ok());
  const auto& modes = bench_block::library()->modes("logic", "LS");
  for (const parts::Mode& mode : modes) {
    const std::size_t places = places_of(mode, **type).size();
    if (mode.id == "output-stuck-low") CHECK(places == 4);
    if (mode.id == "input-leaky-loads-the-line") CHECK(places == 8);
    if (mode.id == "all-outputs-or-enable-wrong") CHECK(places == 1);
  }
}
