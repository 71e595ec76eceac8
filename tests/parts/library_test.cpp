#include "support.h"

#include <filesystem>
#include <fstream>
#include <thread>

using namespace halfsplit;
using namespace halfsplit::parts;

namespace {

/// A library folder of its own under the system's temporary folder, removed at the end.
class Folder {
 public:
  explicit Folder(const std::string& name) : path_(std::filesystem::temp_directory_path() / ("halfsplit_parts_" + name)) {
    std::filesystem::remove_all(path_);
    std::filesystem::create_directories(path_);
    for (const char* table : {"families.toml", "classes.toml"})
      std::filesystem::copy_file(std::string(HALFSPLIT_SOURCE_DIR) + "/shared/parts/" + table, path_ / table);
  }
  ~Folder() { std::filesystem::remove_all(path_); }
  void write(const std::string& name, const std::string& text) { std::ofstream(path_ / name) << text; }
  std::string path() const { return path_.string(); }
  std::shared_ptr<const Library> open() const {
    auto library = Library::open(path());
    REQUIRE_MESSAGE(library.ok(), library.error().text());
    return std::move(library).value();
  }

 private:
  std::filesystem::path path_;
};

std::string gate(const std::string& id, const std::string& more = "") {
  return "format = 1\nid = \"" + id + "\"\ntitle = \"gate\"\nclass = \"logic\"\n" + more + "pins = [\"1 A in\", \"2 Y out\"]\n[[gate]]\nout = \"Y\"\nis = \"!A\"\n";
}
const std::string kHeader = "format = 1\nid = \"header\"\ntitle = \"pin header\"\nclass = \"connector\"\npins = \"numbered\"\n";

}  // namespace

TEST_CASE("a type is read when asked for and kept") {
  Folder folder("lazy");
  folder.write("7404.toml", gate("7404"));
  folder.write("74132.toml", gate("74132"));
  folder.write("broken.toml", "format = ");
  const auto library = folder.open();
  CHECK(library->ids() == std::vector<std::string>{"7404", "74132", "broken"});
  const auto type = library->type("7404");
  REQUIRE(type.ok());
  CHECK(library->type("7404").value() == type.value());
  CHECK(!library->type("broken").ok());
  CHECK(library->type("broken").error().place.line == 1);
}

TEST_CASE("an unknown id gets did you mean and a wrong file name is told") {
  Folder folder("unknown");
  folder.write("74244.toml", gate("74244"));
  folder.write("74240.toml", gate("74241"));
  const auto library = folder.open();
  const auto none = library->type("74424");
  REQUIRE(!none.ok());
  CHECK(none.error().code == ErrorCode::not_found);
  CHECK(none.error().hint == "did you mean 74244?");
  CHECK(library->type("74240").error().message.find("74241") != std::string::npos);
  CHECK(library->type("74240").error().place.line == 2);
  CHECK(!Library::open(folder.path() + "/nowhere").ok());
}

TEST_CASE("names printed lead to ids and exact ids come first") {
  Folder folder("named");
  folder.write("4116.toml", gate("4116", "also = [\"2117\", \"MK 4116\"]\n"));
  folder.write("2117x.toml", gate("2117x", "also = [\"4116\"]\n"));
  folder.write("Z80.toml", gate("Z80"));
  const auto library = folder.open();
  CHECK(library->named("2117") == std::vector<std::string>{"4116"});
  CHECK(library->named("mk-4116") == std::vector<std::string>{"4116"});
  CHECK(library->named("4116") == std::vector<std::string>{"4116", "2117x"});
  CHECK(library->named("z80") == std::vector<std::string>{"Z80"});
  CHECK(library->named("Z81").empty());
}

TEST_CASE("numbered types get the pins their place needs") {
  Folder folder("numbered");
  folder.write("header.toml", kHeader);
  folder.write("net.toml", "format = 1\nid = \"net\"\ntitle = \"network\"\nclass = \"network\"\npins = \"numbered\"\nleast = 3\n[[resistor]]\na = \"first\"\nb = \"rest\"\n");
  folder.write("pairs.toml", "format = 1\nid = \"pairs\"\ntitle = \"dip\"\nclass = \"switch\"\npins = \"numbered\"\nleast = 2\neven = true\n[[contact]]\na = \"lower\"\nb = \"upper-back\"\nclosed = false\nactuated = true\n");
  const auto library = folder.open();

  const auto bare = library->type("header");
  REQUIRE(bare.ok());
  CHECK((*bare)->numbered);
  CHECK((*bare)->pins.empty());

  const auto sixteen = library->type("header/16");
  REQUIRE(sixteen.ok());
  CHECK((*sixteen)->pins.size() == 16);
  CHECK((*sixteen)->pins[15].number == "16");
  CHECK((*sixteen)->pins[15].name == "16");
  CHECK(!(*sixteen)->numbered);
  CHECK(library->type("header/1..16").value() == sixteen.value());
  CHECK(library->type_with_pins("header", {"2", "1", "3"}).value()->id == "header/3");
  const auto edge = library->type_with_pins("header", {"A1", "B12", "S1", "A2", "A3"});
  REQUIRE(edge.ok());
  CHECK((*edge)->id == "header/A1..A3,B12,S1");
  CHECK(library->type((*edge)->id).value() == edge.value());
  CHECK(library->type_with_pins("header", {"5"}).value()->id == "header/5,");
  CHECK(library->type("header/5,").value()->pins[0].number == "5");
  const auto odd = library->type_with_pins("header", {"A,1", "P$5", "~", "+"});
  REQUIRE(odd.ok());
  CHECK(library->type((*odd)->id).value() == odd.value());
  CHECK((*odd)->pin_by_number("A,1"));

  const PartType& net = *library->type("net/9").value();
  REQUIRE(net.blocks.size() == 1);
  CHECK(net.blocks[0].port("a") == std::vector<std::uint16_t>(8, 0));
  CHECK(net.blocks[0].port("b") == std::vector<std::uint16_t>{1, 2, 3, 4, 5, 6, 7, 8});
  CHECK(net.title == "network, 9 pins");
  const PartType& pairs = *library->type("pairs/6").value();
  CHECK(pairs.blocks[0].port("a") == std::vector<std::uint16_t>{0, 1, 2});
  CHECK(pairs.blocks[0].port("b") == std::vector<std::uint16_t>{5, 4, 3});
  CHECK(*pairs.blocks[0].word("closed") == "false");

  CHECK(!library->type("net/2").ok());
  CHECK(!library->type("pairs/5").ok());
  CHECK(!library->type("header/0").ok());
  CHECK(!library->type("header/513").ok());
  CHECK(!library->type("header/A1..A1000000").ok());
  CHECK(!library->type("header/A5..A1").ok());
  CHECK(!library->type("header/A..B").ok());
  CHECK(!library->type("header/1,1").ok());
  CHECK(!library->type("header/").ok());
  CHECK(!library->type("header/%4").ok());
  CHECK(!library->type_with_pins("header", {}).ok());
  CHECK(!library->type_with_pins("header", {"1", ""}).ok());
}

TEST_CASE("a type with pins of its own can be renumbered by name") {
  Folder folder("renumber");
  folder.write("npn.toml", "format = 1\nid = \"npn\"\ntitle = \"NPN\"\nclass = \"BJT\"\ntechnology = \"small signal\"\npins = [\"C C passive\", \"B B passive\", \"E E passive\"]\n[[transistor]]\nbase = \"B\"\ncollector = \"C\"\nemitter = \"E\"\npolarity = \"npn\"\n");
  const auto library = folder.open();
  CHECK((*library->type("npn"))->pin_by_number("E"));
  const auto ebc = library->type("npn/E,B,C");
  REQUIRE(ebc.ok());
  CHECK((*ebc)->pins[*(*ebc)->pin_by_number("1")].name == "E");
  CHECK((*ebc)->pins[*(*ebc)->pin_by_number("3")].name == "C");
  CHECK((*ebc)->blocks[0].port("base").size() == 1);
  const auto four = library->type("npn/E,B,C,nc");
  REQUIRE(four.ok());
  CHECK((*four)->pins[*(*four)->pin_by_number("4")].role == PinRole::not_connected);
  CHECK(!library->type("npn/E,B").ok());
  CHECK(!library->type("npn/E,B,B").ok());
  CHECK(!library->type("npn/E,B,X").ok());
  CHECK(library->type_with_pins("npn/E,B,C", {"1", "2"}).ok());
  CHECK(library->type_with_pins("npn", {"B", "C"}).ok());
  const auto strange = library->type_with_pins("npn", {"1", "2", "3"});
  REQUIRE(!strange.ok());
  CHECK(strange.error().hint == "its pins: C B E");
}

TEST_CASE("modes fall back from technology to class to logic") {
  const auto library = shipped_library();
  CHECK(library->modes("ROM", "mask")[3].id == "drives-when-not-selected");
  CHECK(library->modes("ROM", "EPROM").size() == 5);
  CHECK(library->modes("ROM", "").size() == 6);
  CHECK(library->modes("DRAM", "1-rail (5 V)")[0].id == "bit-stuck");
  CHECK(library->modes("no such class", "")[0].id == "output-stuck-low");
  CHECK(library->modes("logic", "LS")[4].id == "input-leaky-loads-the-line");
}

TEST_CASE("the hash follows every byte of the folder") {
  Folder folder("hash");
  folder.write("7404.toml", gate("7404"));
  const auto first = folder.open()->hash();
  CHECK(folder.open()->hash() == first);
  folder.write("7404.toml", gate("7404") + "\n");
  const auto second = folder.open()->hash();
  CHECK(second != first);
  folder.write("7406.toml", gate("7406"));
  CHECK(folder.open()->hash() != second);
}

TEST_CASE("several threads may ask at once") {
  Folder folder("threads");
  folder.write("header.toml", kHeader);
  folder.write("7404.toml", gate("7404"));
  const auto library = folder.open();
  std::vector<std::thread> threads;
  std::vector<const PartType*> got(8);
  for (std::size_t i = 0; i < got.size(); ++i)
    threads.emplace_back([&, i] {
      for (int n = 1; n <= 50; ++n) (void)library->type("header/" + std::to_string(n));
      got[i] = library->type(i % 2 ? "7404" : "header/9").value();
    });
  for (auto& thread : threads) thread.join();
  for (std::size_t i = 2; i < got.size(); ++i) CHECK(got[i] == got[i % 2]);
}
