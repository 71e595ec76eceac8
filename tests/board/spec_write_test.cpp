#include <filesystem>

#include "base/file.h"
#include "sample.h"

using namespace halfsplit;
using namespace halfsplit::board;
using sample::says;
namespace fs = std::filesystem;

namespace {

/// A folder of its own under the system's temporary one, gone at the end.
class Folder {
 public:
  explicit Folder(const std::string& name) : path_(fs::temp_directory_path() / ("halfsplit_board_" + name)) { fs::remove_all(path_); }
  ~Folder() { fs::remove_all(path_); }
  std::string path() const { return path_.string(); }
  std::string file(const std::string& name) const { return (path_ / name).string(); }

 private:
  fs::path path_;
};

/// A spec with everything a file can say.
MachineSpec rich() {
  auto files = sample::organ("a = \"scan/J3\"\nb = \"kbd/J1\"\nmap = \"1=1 2=2 4=4\"\ncable = \"W1\"\n");
  files["scan/types/odd.toml"] = R"(format = 1
id = "odd"
title = "say \"odd\" \\ and\n\t\u00e9"
class = "custom"
custom = true
pins = ["1 A in", "2 Y out", "3 GND ground"]
[[gate]]
out = "Y"
is = "A"
[[gate]]
out = ["Y"]
is = ["!A"]
)";
  MachineSpec spec = sample::spec(files);
  spec.revision = "C \"late\"";
  spec.amendments = {"value scan/R1 2k2", "ours wire scan/U1.4 scan/J3.1"};
  UnitSpec& unit = spec.units[0];
  unit.sources = {{"TICK", 0.25}, {"ROW", 1}};
  unit.supplies[0].tolerance = 0.1;
  unit.parts[0].fitted = false;
  unit.parts[0].note = "often missing";
  unit.parts[0].footprint = "DIP-14_W7.62mm";
  unit.parts[0].at = Position{1.0 / 3, -2};
  unit.parts[0].pin_at = {{"1", {0.1, 0.2}}, {"14", {1e-3, 1e6}}};
  unit.parts[2].value = "RED";
  unit.parts[1].type = "header";
  unit.parts[1].pin_numbers = {"1", "2", "3", "4"};
  NetSpec wide;
  wide.name = "a very \"wide\" net /with\\signs";
  for (int i = 0; i < 60; ++i) wide.pins.push_back({"U" + std::to_string(i + 100), "12", {}});
  unit.nets.push_back(wide);
  spec.surroundings.push_back({});
  spec.surroundings[0].ref = "TV";
  spec.surroundings[0].type = "display";
  spec.surroundings[0].value = "a set with a composite input";
  spec.functions[0].title = "key Q";
  spec.questions.push_back({"q1", "Is it so?", {{"no", {}}, {"yes", {"missing scan/U1", "lift scan/R1.2"}}}, {}});
  spec.zones.push_back({"z", "Tube", "tube", "Two\nlines", "lid-off", {"TV"}, {}});
  return spec;
}

}  // namespace

TEST_CASE("what is written reads back the same") {
  const MachineSpec specs[] = {parse_spec(sample::bell()).value(), parse_spec(sample::organ()).value(), rich()};
  for (const MachineSpec& spec : specs) {
    const auto files = spec_files(spec);
    REQUIRE_MESSAGE(files.ok(), files.error().text());
    const auto back = parse_spec(files.value());
    REQUIRE_MESSAGE(back.ok(), back.error().text());
    CHECK(same(back.value(), spec));
    CHECK(spec_files(back.value()).value() == files.value());  // and once more the same bytes
  }
}

TEST_CASE("the files are compact") {
  const SpecFiles files = spec_files(parse_spec(sample::bell()).value()).value();
  CHECK(says(files.at("parts.toml"), "U1 = \"7404 LS\"\n"));
  CHECK(says(files.at("parts.toml"), "R1 = \"resistor 4k7\"\n"));
  CHECK(says(files.at("parts.toml"), "pins = \"1..4\""));
  CHECK(says(files.at("parts.toml"), "U2 = { type = \"74244\", family = \"LS\", value = \"74LS244\", socketed = true, at = [12.5, 40] }\n"));
  CHECK(says(files.at("nets.toml"), "\"+5V\" = \"U1.14 U2.20 R1.1 J1.2 C1.1\"\n"));
  CHECK_FALSE(files.contains("layout.toml"));
}

TEST_CASE("no line of a wide net is wide") {
  const SpecFiles files = spec_files(rich()).value();
  const std::string& text = files.at("scan/nets.toml");
  for (std::size_t from = 0; from < text.size();) {
    const std::size_t end = text.find('\n', from);
    CHECK(end - from <= 130);
    from = end + 1;
  }
}

TEST_CASE("a difference is seen by same") {
  const MachineSpec spec = rich();
  const auto differs = [&](auto change) {
    MachineSpec other = spec;
    change(other);
    return !same(other, spec);
  };
  CHECK(same(spec, spec));
  CHECK(differs([](MachineSpec& s) { s.units[0].parts[0].socketed = true; }));
  CHECK(differs([](MachineSpec& s) { s.units[0].nets[1].pins[0].pin = "2"; }));
  CHECK(differs([](MachineSpec& s) { s.units[0].supplies[0].volts = 4; }));
  CHECK(differs([](MachineSpec& s) { s.units[0].types[0].members.pop_back(); }));
  CHECK(differs([](MachineSpec& s) { s.units[0].parts[0].pin_at[1].second.x_mm = 2; }));
  CHECK(differs([](MachineSpec& s) { s.mates[0].map.pop_back(); }));
  CHECK(differs([](MachineSpec& s) { s.questions[0].answers[1].word = "maybe"; }));
  CHECK(differs([](MachineSpec& s) { s.zones[0].parts.clear(); }));
  CHECK(differs([](MachineSpec& s) { s.functions[0].held = ""; }));
}

TEST_CASE("what no file can say is refused") {
  const auto refused = [](auto change) {
    MachineSpec spec = rich();
    change(spec);
    return !spec_files(spec).ok();
  };
  CHECK(refused([](MachineSpec& s) { s.units[0].parts[0].ref = "BANK 0"; }));
  CHECK(refused([](MachineSpec& s) { s.units[0].nets[0].pins[0].part = "U1.2"; }));
  CHECK(refused([](MachineSpec& s) { s.units[0].nets[0].pins[0].pin = "A B"; }));
  CHECK(refused([](MachineSpec& s) { s.units[0].nets[1].name = s.units[0].nets[0].name; }));
  CHECK(refused([](MachineSpec& s) { s.units[0].parts[0].at->x_mm = 1.0 / 0.0; }));
  CHECK(refused([](MachineSpec& s) { s.units[0].types[0].members[1].value.text = "../up"; }));
  CHECK(refused([](MachineSpec& s) { s.surroundings[0].family = "LS"; }));
  CHECK(refused([](MachineSpec& s) { s.units[1].name = "a/b"; }));
  CHECK(refused([](MachineSpec& s) { s.amended = true; }));
}

TEST_CASE("a folder is written and loaded and not overwritten unasked") {
  const Folder folder("write");
  const MachineSpec spec = rich();
  REQUIRE(write_spec(spec, folder.path() + "/").ok());
  CHECK_FALSE(fs::exists(folder.path() + ".new"));
  const auto back = load_spec(folder.path());
  REQUIRE_MESSAGE(back.ok(), back.error().text());
  CHECK(same(back.value(), spec));
  CHECK(write_spec(spec, folder.path()).ok());  // the same again changes nothing

  MachineSpec other = spec;
  other.units[0].types.clear();
  other.title = "another";
  const Status refused = write_spec(other, folder.path());
  REQUIRE_FALSE(refused.ok());
  CHECK(refused.error().code == ErrorCode::needs_confirmation);
  CHECK(says(refused.error().message, "scan/types/odd.toml"));
  CHECK(same(load_spec(folder.path()).value(), spec));

  REQUIRE(write_file(folder.file("notes.txt"), "mine").ok());
  REQUIRE(write_spec(other, folder.path(), true).ok());
  CHECK(same(load_spec(folder.path()).value(), other));  // the old type is gone
  CHECK(fs::exists(folder.file("notes.txt")));
}

TEST_CASE("a folder with other things in it is not taken unasked") {
  const Folder folder("foreign");
  fs::create_directories(folder.path());
  REQUIRE(write_file(folder.file("letter.txt"), "dear").ok());
  const Status refused = write_spec(rich(), folder.path());
  REQUIRE_FALSE(refused.ok());
  CHECK(refused.error().code == ErrorCode::needs_confirmation);
  CHECK(write_spec(rich(), folder.path(), true).ok());
}

TEST_CASE("nothing is written of a spec that can not be") {
  const Folder folder("none");
  MachineSpec spec = rich();
  spec.units[0].parts[0].ref = "BANK 0";
  CHECK_FALSE(write_spec(spec, folder.path()).ok());
  CHECK_FALSE(fs::exists(folder.path()));
}
