#include "board/swap.h"

#include <doctest/doctest.h>

#include "board/spec.h"

using namespace halfsplit;
using board::PartId;
using board::Setup;
using board::Thing;

namespace {

struct Home8 {
  std::shared_ptr<const board::Machine> machine;
  Home8() {
    const auto library = parts::Library::open(std::string(HALFSPLIT_SOURCE_DIR) + "/shared/parts").value();
    machine = board::load_machine(std::string(HALFSPLIT_SOURCE_DIR) + "/boards/osprill-home-8", library).value();
  }
  PartId operator()(const char* ref) const { return machine->find_part(ref).value(); }
};

}  // namespace

TEST_CASE("two parts change places and back") {
  const Home8 part;
  const Setup swapped = board::exchanged(Setup(), part("U9"), part("U10"));
  CHECK(board::in_place(part("U9"), swapped) == Thing{part("U10"), 0});
  CHECK(board::place_of({part("U9"), 0}, swapped) == part("U10"));
  CHECK(board::describe(swapped, *part.machine) == "U9 and U10 exchanged");
  CHECK(board::exchanged(swapped, part("U10"), part("U9")) == Setup());
  CHECK(board::back_home(swapped, part("U9")) == Setup());
}

TEST_CASE("three parts in a circle are still one each") {
  const Home8 part;
  const Setup round = board::exchanged(board::exchanged(Setup(), part("U9"), part("U10")), part("U10"), part("U11"));
  CHECK(board::in_place(part("U9"), round) == Thing{part("U10"), 0});
  CHECK(board::in_place(part("U10"), round) == Thing{part("U11"), 0});
  CHECK(board::in_place(part("U11"), round) == Thing{part("U9"), 0});
  CHECK(board::all_own(round) == Setup());
}

TEST_CASE("a spare puts the part out of the machine and travels like one") {
  const Home8 part;
  const Setup tried = board::with_spare(Setup(), part("U9"), 1, "new");
  CHECK_FALSE(board::place_of({part("U9"), 0}, tried));
  CHECK(board::place_of({part("U9"), 1}, tried) == part("U9"));
  CHECK(board::describe(tried, *part.machine) == "new spare in the place of U9");
  const Setup moved = board::exchanged(tried, part("U9"), part("U10"));
  CHECK(board::place_of({part("U9"), 1}, moved) == part("U10"));
  CHECK(board::place_of({part("U10"), 0}, moved) == part("U9"));
  CHECK_FALSE(board::place_of({part("U9"), 0}, moved));
}

TEST_CASE("unlike parts are refused with the reason") {
  const Home8 part;
  const auto why = [&](const char* a, const char* b) { return board::unlike(part(a), part(b), *part.machine).value().why; };
  CHECK(why("U3", "U9").find("pins don't fit") != std::string::npos);
  CHECK(why("U7", "U8").find("do different things") != std::string::npos);
  CHECK(why("U5", "U6").find("program of its own") != std::string::npos);
  CHECK(why("R20", "R30").find("values differ") != std::string::npos);
  CHECK(why("U9", "U9").find("itself") != std::string::npos);
  CHECK_FALSE(board::unlike(part("U9"), part("U10"), *part.machine));
  CHECK(board::like_parts(part("U9"), *part.machine).size() == 7);
}
