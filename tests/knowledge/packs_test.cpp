#include "support.h"

#include <cmath>
#include <map>

using namespace halfsplit;
using namespace halfsplit::knowledge;

namespace {

const Profile& profile(const Knowledge& knowledge, const char* id) { return *knowledge.profile(id).value(); }

/// A pack with its head, and what a test adds.
std::string pack(const std::string& body) {
  return "format = 1\nid = \"extra\"\ntitle = \"extra\"\nversion = 1\n[[source]]\nid = \"own\"\ntitle = \"own repairs\"\n" + body;
}
std::string error_of(const std::string& name, const std::string& body) {
  PackFolder folder(name);
  folder.add("z-extra.toml", body);
  const auto loaded = folder.load();
  return loaded.ok() ? "no error" : loaded.error().text();
}
bool says(const std::string& text, const std::string& what) { return text.find(what) != std::string::npos; }

}  // namespace

TEST_CASE("the shipped packs load and hold every section") {
  const auto knowledge = shipped();
  const Entries& entries = knowledge->entries();
  CHECK(entries.packs.size() == 8);
  CHECK(entries.procedures.size() > 5);
  CHECK(entries.profiles.size() == 2);
  CHECK(entries.rates.size() > 60);
  CHECK(entries.modes.size() > 40);
  CHECK(entries.looks.size() > 20);
  CHECK(entries.symptoms.size() > 40);
  CHECK(knowledge->hash() == shipped()->hash());
}

TEST_CASE("rates come by class and technology") {
  const auto knowledge = shipped();
  const Profile& aged = profile(*knowledge, "aged");
  const Rate ls = knowledge->rate("logic", "LS", aged);
  CHECK(ls.faults == doctest::Approx(0.855 * 0.00448));
  CHECK(ls.sample == doctest::Approx(12.5));
  CHECK_FALSE(ls.inherited);
  CHECK(knowledge->rate("DRAM", "1-rail (5 V)", aged).faults > 4 * ls.faults);
  CHECK(knowledge->rate("solder joint", "", aged).per == Per::pin);
  CHECK(knowledge->rate("key contact", "", aged).per == Per::contact);
}

TEST_CASE("a class or technology without a row inherits and says so") {
  const auto knowledge = shipped();
  const Profile& aged = profile(*knowledge, "aged");
  const Rate ecl = knowledge->rate("logic", "ECL", aged);
  CHECK(ecl.inherited);
  CHECK(ecl.row->id == "logic");
  CHECK(knowledge->rate("logic", "", aged).inherited);           // the family is not known
  CHECK_FALSE(knowledge->rate("CPU", "NMOS", aged).inherited);   // one row for all technologies
  const Rate valve = knowledge->rate("thermionic valve", "", aged);
  CHECK(valve.inherited);
  CHECK(valve.row->rate_class == "part");
  PackFolder folder("inherit");
  folder.add("z-extra.toml", pack("").insert(11, "parents = [{ class = \"bubble memory\", parent = \"memory\" }]\n"));
  const auto more = folder.load();
  REQUIRE_MESSAGE(more.ok(), (more.ok() ? "" : more.error().text()));
  CHECK(more.value()->rate("bubble memory", "", profile(*more.value(), "aged")).row->rate_class == "memory");
}

TEST_CASE("a recent build has other weights than an aged machine") {
  const auto knowledge = shipped();
  const Profile &aged = profile(*knowledge, "aged"), &recent = profile(*knowledge, "recent-build");
  const auto ratio = [&](const char* rate_class, const char* technology) {
    return knowledge->rate(rate_class, technology, recent).faults / knowledge->rate(rate_class, technology, aged).faults;
  };
  CHECK(ratio("logic", "LS") < 0.2);
  CHECK(ratio("solder joint", "") > 0.8);
  CHECK(ratio("design erratum", "") > 20);
  CHECK(recent.outside > aged.outside);
  CHECK_FALSE(knowledge->profile("agde").ok());
  CHECK(says(knowledge->profile("agde").error().text(), "aged"));
}

TEST_CASE("counted rows add up to the expected faults of the mean story") {
  // Parts on the mean machine, for the ten rows that carry most of the expectation; the figures are those of the counts.
  const std::map<std::pair<std::string, std::string>, std::pair<double, double>> mean{
      {{"logic", "LS"}, {31.07, 0.119}},  {{"DRAM", "1-rail (5 V)"}, {3.02, 0.0699}}, {{"IC socket", ""}, {257.82, 0.105}},     {{"track or via", ""}, {347.08, 0.102}},
      {{"solder joint", ""}, {1707.13, 0.0927}}, {{"ROM", "mask"}, {3.6, 0.048}},     {{"electrolytic", ""}, {15.03, 0.0713}}, {{"regulator", ""}, {1.08, 0.0443}}};
  const auto knowledge = shipped();
  for (const auto& [row, told] : mean) {
    const Rate rate = knowledge->rate(row.first, row.second, profile(*knowledge, "aged"));
    CHECK_MESSAGE(rate.faults * told.first == doctest::Approx(told.second).epsilon(0.02), row.first);
  }
}

TEST_CASE("shares of the modes add up to one and technology comes first") {
  const auto knowledge = shipped();
  for (const ModeShares& shares : knowledge->entries().modes) {
    double sum = 0;
    for (const ModeShare& share : shares.shares) sum += share.share;
    CHECK_MESSAGE(std::abs(sum - 1) < 0.01, shares.id);
  }
  CHECK(knowledge->shares("ROM", "EPROM")->shares.front().share > 0.6);
  CHECK(knowledge->shares("ROM", "mask")->shares.front().share < 0.4);
  CHECK(knowledge->shares("logic", "LS") == knowledge->shares("logic", ""));
  CHECK(knowledge->shares("thermionic valve", "") == nullptr);
}

TEST_CASE("evidence is worth what the counts say and an unknown pair says nothing") {
  const auto knowledge = shipped();
  const fault::EvidenceTable& table = knowledge->evidence();
  CHECK(table.sensitivity(observe::Kind::touch, "short-rail").hit == doctest::Approx(0.723));
  CHECK(table.sensitivity(observe::Kind::touch, "short-rail").false_alarm == doctest::Approx(0.338));
  CHECK(table.sensitivity(observe::Kind::piggyback, "stuck").hit < 0.3);
  CHECK(table.sensitivity(observe::Kind::piggyback, "float").hit > 0.8);
  const fault::Sensitivity nothing = table.sensitivity(observe::Kind::look, "no such group");
  CHECK(nothing.hit == nothing.false_alarm);
}

TEST_CASE("doubt is per kind and a sure reading is wrong once in ten thousand") {
  const auto knowledge = shipped();
  CHECK(knowledge->doubt(observe::Kind::probe, false) == doctest::Approx(0.02));
  CHECK(knowledge->doubt(observe::Kind::touch, false) > knowledge->doubt(observe::Kind::volts_dc, false));
  CHECK(knowledge->doubt(observe::Kind::probe, true) == doctest::Approx(1e-4));
}

TEST_CASE("every kind of reading has a doubt and a price of its own") {
  const auto knowledge = shipped();
  const auto priced = [&](observe::Kind kind) {
    for (const ReadingMinutes& row : knowledge->entries().readings)
      if (row.kind == kind) return true;
    return false;
  };
  const auto doubted = [&](observe::Kind kind) {
    for (const Doubt& row : knowledge->entries().doubts)
      if (row.kind == kind) return true;
    return false;
  };
  for (int i = 0; i <= static_cast<int>(observe::Kind::count); ++i) {
    CHECK(priced(static_cast<observe::Kind>(i)));
    CHECK(doubted(static_cast<observe::Kind>(i)));
  }
}

TEST_CASE("the hash changes with a byte of a pack or its name") {
  PackFolder folder("hash");
  const std::uint64_t before = folder.load().value()->hash();
  CHECK(before == folder.load().value()->hash());
  folder.add("z-extra.toml", pack(""));
  const std::uint64_t with_pack = folder.load().value()->hash();
  CHECK(with_pack != before);
  folder.add("z-extra.toml", pack("# a remark\n"));
  CHECK(folder.load().value()->hash() != with_pack);
}

TEST_CASE("a folder without packs is not found") {
  PackFolder folder("empty", false);
  CHECK(folder.load().error().code == ErrorCode::not_found);
  CHECK(Knowledge::load(folder.path() + "/nowhere").error().code == ErrorCode::not_found);
}

TEST_CASE("what is wrong in a pack is told with its place") {
  const std::string unknown = error_of("key", pack("[[rate]]\nid = \"x\"\nclas = \"logic\"\nsource = \"own\"\nversion = 1\naged = { rate = 1.0, sample = 1.0 }\n"));
  CHECK(says(unknown, "z-extra.toml:10:1"));
  CHECK(says(unknown, "did you mean \"class\"?"));
  CHECK(says(error_of("source", pack("[[rate]]\nid = \"x\"\nclass = \"valve\"\nsource = \"ownn\"\nversion = 1\naged = { rate = 1.0, sample = 1.0 }\n")), "did you mean \"own\"?"));
  CHECK(says(error_of("twice", pack("[[rate]]\nid = \"x\"\nclass = \"CPU\"\nsource = \"own\"\nversion = 1\naged = { rate = 1.0, sample = 1.0 }\n")), "a second rate for \"CPU\""));
  CHECK(says(error_of("id", pack("[[rate]]\nid = \"logic-ls\"\nclass = \"valve\"\nsource = \"own\"\nversion = 1\naged = { rate = 1.0, sample = 1.0 }\n")), "is given twice"));
  CHECK(says(error_of("range", pack("[[rate]]\nid = \"x\"\nclass = \"valve\"\nsource = \"own\"\nversion = 1\naged = { rate = -1.0, sample = 1.0 }\n")), "must lie between"));
  CHECK(says(error_of("profile", pack("[[rate]]\nid = \"x\"\nclass = \"valve\"\nsource = \"own\"\nversion = 1\naegd = { rate = 1.0, sample = 1.0 }\n")), "did you mean \"aged\"?"));
  CHECK(says(error_of("shares", pack("[[modes]]\nid = \"x\"\nclass = \"valve\"\nsample = 1\nshares = [{ mode = \"open\", share = 0.5 }]\nsource = \"own\"\nversion = 1\n")), "add up to 0.5"));
  CHECK(says(error_of("kind", pack("[[doubt]]\nid = \"x\"\nkind = \"DC vols\"\nchance = 0.1\nsource = \"own\"\nversion = 1\n")), "did you mean \"DC volts\"?"));
  CHECK(says(error_of("minutes", pack("[[reading]]\nid = \"x\"\nkind = \"probe\"\nminutes = [3, 2, 5]\nsource = \"own\"\nversion = 1\n")), "rising"));
  CHECK(says(error_of("circle", pack("").insert(11, "parents = [{ class = \"part\", parent = \"DRAM\" }]\n")), "go in a circle"));
  CHECK(says(error_of("syntax", "format = \n"), "z-extra.toml:1"));
  CHECK(says(error_of("format", "format = 2\nid = \"extra\"\ntitle = \"x\"\nversion = 1\n"), "format 2"));
}

TEST_CASE("many errors are told at once but no more than twenty") {
  std::string body;
  for (int i = 0; i < 30; ++i) body += "[[doubt]]\nid = \"d" + std::to_string(i) + "\"\nkind = \"nonsense\"\nchance = 0.1\nsource = \"own\"\nversion = 1\n";
  const std::string text = error_of("many", pack(body));
  std::size_t lines = 0;
  for (std::size_t at = text.find("no kind of reading"); at != std::string::npos; at = text.find("no kind of reading", at + 1)) ++lines;
  CHECK(lines == Errors::kMost);
}
