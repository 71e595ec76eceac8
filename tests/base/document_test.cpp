#include "base/document.h"

#include <doctest/doctest.h>
#include <unistd.h>

#include <cstdio>

using namespace halfsplit;

namespace {
std::string repeated(const std::string& piece, std::size_t times) {
  std::string out;
  for (std::size_t i = 0; i < times; ++i) out += piece;
  return out;
}
Error error_of(const std::string& text) {
  const Result<Node> parsed = parse_document(text, "f.toml");
  REQUIRE_FALSE(parsed.ok());
  CHECK(parsed.error().code == ErrorCode::bad_input);
  CHECK(parsed.error().place.file == "f.toml");
  return parsed.error();
}
Node good(const std::string& text) {
  Result<Node> parsed = parse_document(text, "f.toml");
  REQUIRE(parsed.ok());
  return std::move(parsed).value();
}
}  // namespace

TEST_CASE("values keep kind and place and tables keep file order") {
  const Node root = good("zeta = 1\nalpha = 2.5\n[mid]\n\"q z\" = true\nb = \"x\"\na = [1, \"two\"]\n[mid.deep]\nk = -3\n");
  REQUIRE(root.members.size() == 3);
  CHECK(root.members[0].key == "zeta");
  CHECK(root.members[1].key == "alpha");
  CHECK(root.members[1].value.real == 2.5);
  const Node* mid = root.find("mid");
  REQUIRE(mid);
  REQUIRE(mid->members.size() == 4);
  CHECK(mid->members[0].key == "q z");
  CHECK(mid->members[0].value.boolean);
  CHECK(mid->members[1].value.text == "x");
  CHECK(mid->members[2].value.items.at(1).text == "two");
  CHECK(mid->members[2].value.items.at(1).place == Place{"f.toml", 6, 9});
  CHECK(mid->members[1].place == Place{"f.toml", 5, 1});
  CHECK(mid->members[1].value.place == Place{"f.toml", 5, 5});
  CHECK(mid->find("deep")->find("k")->integer == -3);
  CHECK(mid->find("deep")->find("k")->real == -3.0);
  CHECK(root.find("none") == nullptr);
}

TEST_CASE("arrays of tables and dotted keys keep file order") {
  const Node root = good("b.y = 1\nb.x = 2\n[[gate]]\nout = \"q\"\n[[gate]]\nout = \"p\"\n[[Alpha]]\n");
  CHECK(root.members.at(0).key == "b");
  CHECK(root.members.at(0).value.members.at(0).key == "y");
  CHECK(root.members.at(1).key == "gate");
  CHECK(root.members.at(1).value.items.at(1).find("out")->text == "p");
  CHECK(root.members.at(1).value.items.at(1).place.line == 5);
  CHECK(root.members.at(2).key == "Alpha");
}

TEST_CASE("syntax errors and duplicate keys have a place") {
  CHECK(error_of("a = 1\nb = = 2\n").place.line == 2);
  const Error twice = error_of("a = 1\nb = 2\na = 3\n");
  CHECK(twice.place.line == 3);
  CHECK(twice.message.find("'a'") != std::string::npos);
  CHECK(error_of("[t]\n[t]\n").place.line == 2);
  CHECK(error_of("[= a").place.line == 1);
  CHECK(error_of("a = \"open\nb = 1\n").place.line == 1);
  CHECK(error_of("a = 1\nwhen = 1984-05-01\n").place == Place{"f.toml", 2, 8});
}

TEST_CASE("hostile text is refused with a place") {
  CHECK(error_of("x = " + repeated("[", 100000)).place.line == 1);
  CHECK(error_of("x = " + repeated("{a = ", 100000)).place.line == 1);
  CHECK(error_of(repeated("a.", 100000) + "a = 1").message.find("32 dotted") != std::string::npos);
  CHECK(error_of("[" + repeated("a.", 100000) + "a]").message.find("32 dotted") != std::string::npos);
  CHECK(error_of("\n" + repeated("\"a\" . ", 100000) + "a = 1").place.line == 2);
  CHECK(error_of(std::string("a = 1\nb\0 = 2", 12)).place == Place{"f.toml", 2, 2});
  CHECK(error_of("a = 1\nb = \"\xff\xfe\"\n").place == Place{"f.toml", 2, 6});
  CHECK(error_of("\xff\xfe" "a\x01").place.line == 1);
  CHECK(error_of(repeated("# comment comment comment comment\n", 1 << 18)).message.find("8 MiB") != std::string::npos);
}

TEST_CASE("deep but allowed nesting is read") {
  const std::string tail = repeated("{" + std::string("a") + repeated(".a", 31) + " = ", 32) + "1" + repeated("}", 32);
  CHECK(parse_document("[a" + repeated(".a", 31) + "]\nx = " + tail, "f").ok());
}

TEST_CASE("a byte order mark at the start is accepted") {
  const Node root = good("\xef\xbb\xbf" "a = 1\r\nb = \"\xc2\xb5\"\r\n");
  CHECK(root.members.at(0).place == Place{"f.toml", 1, 1});
  CHECK(root.find("b")->text == "\xc2\xb5");
}

TEST_CASE("fields read strictly and say what is wrong") {
  const Node root = good("format = 1\ntitel = \"x\"\nsize = \"big\"\nones = \"one\"\nmany = [\"a\", 2]\nrate = inf\nflag = 1\n");
  Errors errors;
  Fields fields(root, errors);
  fields.need_format(1);
  CHECK_FALSE(fields.text("title").has_value());
  CHECK_FALSE(fields.number("size").has_value());
  CHECK(fields.texts("ones") == std::vector<std::string>{"one"});
  CHECK(fields.texts("many")->size() == 1);
  CHECK_FALSE(fields.number("rate").has_value());
  CHECK_FALSE(fields.boolean("flag").has_value());
  fields.finish();
  REQUIRE(errors.count() == 5);
  CHECK(errors.list()[0].text() == "f.toml:3:8: size must be a number, this is a text");
  CHECK(errors.list()[1].place == Place{"f.toml", 5, 14});
  CHECK(errors.list()[4].text() == "f.toml:2:1: unknown key \"titel\" (did you mean \"title\"?)");
}

TEST_CASE("fields that are needed are missed with the table's place") {
  const Node root = good("format = 2\n[part]\nother = 1\n");
  Errors errors;
  Fields top(root, errors);
  top.need_format(1);
  Fields part(*top.table("part"), errors);
  CHECK(part.need_text("id") == "");
  CHECK(part.need_number("volts") == 0);
  part.need_format(1);
  part.finish();
  REQUIRE(errors.count() == 5);
  CHECK(errors.list()[0].text() == "f.toml:1:10: format 2 is not known here (this program reads format = 1)");
  CHECK(errors.list()[1].text() == "f.toml:2:1: id is missing");
  CHECK(errors.list()[4].text() == "f.toml:3:1: unknown key \"other\" (known here: id, volts, format)");
}

TEST_CASE("a wrong kind is reported once even when needed") {
  const Node root = good("id = 7\nformat = \"1\"\n");
  Errors errors;
  Fields fields(root, errors);
  fields.need_text("id");
  fields.need_format(1);
  fields.finish();
  CHECK(errors.count() == 2);
}

TEST_CASE("fields over something else than a table is an error") {
  const Node root = good("x = 1\n");
  Errors errors;
  Fields fields(*root.find("x"), errors);
  fields.finish();
  REQUIRE(errors.count() == 1);
  CHECK(errors.list()[0].place == Place{"f.toml", 1, 5});
}

TEST_CASE("files are written whole and read back") {
  const std::string path = "base_file_test_" + std::to_string(getpid()) + ".toml";
  REQUIRE(write_file(path, "a = 1\n").ok());
  REQUIRE(write_file(path, "a = 2\n").ok());
  const Result<Node> node = read_document(path);
  REQUIRE(node.ok());
  CHECK(node->find("a")->integer == 2);
  std::remove(path.c_str());
  CHECK(read_document(path).error().code == ErrorCode::not_found);
  CHECK(read_file(".").error().code == ErrorCode::bad_input);
  CHECK(write_file("no/such/folder/x", "a").error().code == ErrorCode::not_found);
}
