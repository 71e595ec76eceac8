// What is out of reach bars the queries that need it and no others; names are checked against the machine.
#include "app/choices.h"

#include <doctest/doctest.h>

#include "app/choosing.h"
#include "board/spec.h"

using namespace halfsplit;
using observe::Kind;

namespace {

std::shared_ptr<const board::Machine> home8() {
  static const auto library = parts::Library::open(std::string(HALFSPLIT_SOURCE_DIR) + "/shared/parts").value();
  static const auto machine = board::load_machine(std::string(HALFSPLIT_SOURCE_DIR) + "/boards/osprill-home-8", library).value();
  return machine;
}

fault::Query at_pin(const char* pin, Kind kind = Kind::probe) {
  fault::Query query;
  query.point.at = observe::Point::At::leg;
  query.point.pin = home8()->find_pin(pin).value();
  query.kind = kind;
  return query;
}

bool bars(const char* cannot, const fault::Query& query) {
  const auto read = app::read_cannot(cannot, *home8());
  REQUIRE(read.ok());
  return read->bars(query, {}, *home8());
}

}  // namespace

TEST_CASE("a pin out of reach bars looks at that pin alone") {
  CHECK(bars("U3.8", at_pin("U3.8")));
  CHECK(bars("U3.8: under the shield", at_pin("U3.8", Kind::volts_dc)));
  CHECK_FALSE(bars("U3.8", at_pin("U3.9")));
}

TEST_CASE("a part out of reach bars its pins and its pulling") {
  CHECK(bars("U3", at_pin("U3.8")));
  CHECK_FALSE(bars("U3", at_pin("U5.11")));
  fault::Query pulled = at_pin("U5.11");
  pulled.setup = board::Setup({board::Action{board::Action::Kind::pull, home8()->find_part("U3").value(), {}, {}, {}}});
  CHECK(bars("U3", pulled));
  CHECK_FALSE(bars("U9", pulled));
}

TEST_CASE("an instrument or an act can be out of reach") {
  CHECK(bars("probe", at_pin("U3.8")));
  CHECK_FALSE(bars("ohms", at_pin("U3.8")));
  CHECK(bars("no scope", at_pin("U3.8", Kind::frequency)));
  fault::Query soldered = at_pin("U5.11"), socketed = at_pin("U5.11");
  soldered.setup = board::Setup({board::Action{board::Action::Kind::pull, home8()->find_part("U4").value(), {}, {}, {}}});
  socketed.setup = board::Setup({board::Action{board::Action::Kind::pull, home8()->find_part("U3").value(), {}, {}, {}}});
  CHECK(bars("unsoldering", soldered));
  CHECK_FALSE(bars("unsoldering", socketed));
  CHECK(bars("pulling", socketed));
}

TEST_CASE("what names nothing on the machine is refused") {
  CHECK(app::read_cannot("U99.1", *home8()).error().code == ErrorCode::not_found);
  CHECK(app::read_function("tape-owt", *home8()).error().hint.find("tape-out") != std::string::npos);
  CHECK(home8()->function(app::read_function("recording on tape", *home8()).value()).id == "tape-out");
  CHECK(app::read_function("tape", *home8()).error().code == ErrorCode::usage);
}

TEST_CASE("the last word on a function counts") {
  job::Options options;
  options.wants = {{"tape-out", false}, {"recording on tape", true}, {"tape-in", false}};
  const auto choices = app::choices_of(options, *home8());
  REQUIRE(choices.set_aside.size() == 1);
  CHECK(home8()->function(choices.set_aside.front()).id == "tape-in");
}

TEST_CASE("a loose end is near the next pins and not its own net") {
  const auto near = app::beside(home8()->find_pin("J4.2").value(), *home8());
  REQUIRE(near.size() == 2);
  CHECK(home8()->name_of(near[0]) == "J4.1");
  CHECK(home8()->name_of(near[1]) == "J4.3");
}
