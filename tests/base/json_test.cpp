#include "base/json.h"

#include <doctest/doctest.h>

#include <limits>

using namespace halfsplit;

namespace {
std::string repeated(const std::string& piece, std::size_t times) {
  std::string out;
  for (std::size_t i = 0; i < times; ++i) out += piece;
  return out;
}
Error error_of(const std::string& text) {
  const Result<Json> parsed = parse_json(text, "f.json");
  REQUIRE_FALSE(parsed.ok());
  CHECK(parsed.error().code == ErrorCode::bad_input);
  return parsed.error();
}
}  // namespace

TEST_CASE("a value prints with its keys in order") {
  Json value;
  value.set("zeta", 1).set("alpha", Json::array()).set("p", 0.1).set("name", "a\"\n\xc2\xb5").set("none", Json());
  Json list;
  list.push(true);
  list.push(2.0);
  list.push(std::uint32_t{7});
  value.set("list", list);
  CHECK(value.dump(-1) == "{\"zeta\":1,\"alpha\":[],\"p\":0.1,\"name\":\"a\\\"\\n\xc2\xb5\",\"none\":null,\"list\":[true,2.0,7]}");
  CHECK(list.dump() == "[\n  true,\n  2.0,\n  7\n]");
  CHECK(Json::object().dump() == "{}");
}

TEST_CASE("what is printed is read back the same") {
  const std::string text = R"({"b":[1,-2,3.5,1e+300,true,null,"x"],"a":{"k":[]}})";
  const Result<Json> value = parse_json(text);
  REQUIRE(value.ok());
  CHECK(value->dump(-1) == text);
  CHECK(value->find("b")->items()->size() == 7);
  CHECK(*value->find("b")->items()->at(1).integer() == -2);
  CHECK(value->find("none") == nullptr);
}

TEST_CASE("numbers print shortest and round trip") {
  for (const double number : {0.1, 1.0 / 3, 5e-324, 1.7976931348623157e308, 123456789.125, -0.0}) {
    const Result<Json> back = parse_json(Json(number).dump());
    REQUIRE(back.ok());
    REQUIRE(back->real());
    CHECK(*back->real() == number);
  }
  CHECK(*parse_json("9223372036854775807")->integer() == std::numeric_limits<std::int64_t>::max());
  CHECK(parse_json("9223372036854775808")->real());
}

TEST_CASE("broken utf-8 is replaced when printed and refused when read") {
  CHECK(Json("a\xff").dump() == "\"a\xef\xbf\xbd\"");
  CHECK(error_of("{\n\"a\": \"\xff\"}").place == Place{"f.json", 2, 7});
}

TEST_CASE("bad json is refused with a place") {
  CHECK(error_of("").place.line == 1);
  CHECK(error_of("{\n  \"a\": 1,\n  \"b\" 2\n}").place == Place{"f.json", 3, 7});
  CHECK(error_of("[1, 2] x").place == Place{"f.json", 1, 8});
  CHECK(error_of("[1, 1e999]").place.line == 1);
  CHECK(error_of("{\"a\": NaN}").place.line == 1);
  CHECK(error_of(std::string("[1,\0 2]", 7)).place == Place{"f.json", 1, 4});
  for (const std::string text : {"{", "[1,", "\"open", "[1 2]", "{1:2}", "tru"})
    CHECK(error_of(text).message.find("json.exception") == std::string::npos);
}

TEST_CASE("a key that is there twice is refused") {
  const Error error = error_of("{\"a\": 1,\n \"b\": 2, \"a\": 3}");
  CHECK(error.message == "the key \"a\" is there twice");
  CHECK(error.place == Place{"f.json", 2, 12});
  CHECK(parse_json(R"([{"a":1},{"a":2}])").ok());
}

TEST_CASE("depth sixty-four is read and deeper is refused") {
  CHECK(parse_json(repeated("[", 64) + repeated("]", 64)).ok());
  CHECK(error_of(repeated("[", 65) + repeated("]", 65)).place.column == 65);
  CHECK_FALSE(parse_json(repeated("[", 100000)).ok());
  CHECK_FALSE(parse_json(repeated("{\"a\":", 100000)).ok());
}
