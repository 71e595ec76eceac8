// Whatever was typed stays text in Markdown and HTML, and in the drawing.
#include "report/page.h"

#include <doctest/doctest.h>

#include <sstream>

#include "board/spec.h"
#include "report/signal_path.h"

using namespace halfsplit;

namespace {

constexpr char kNasty[] = "<script>alert('x')</script> & \"quotes\" | `pipe` *star* \x01";

std::shared_ptr<const board::Machine> primer() {
  const auto library = parts::Library::open(std::string(HALFSPLIT_SOURCE_DIR) + "/shared/parts").value();
  return board::load_machine(std::string(HALFSPLIT_SOURCE_DIR) + "/boards/osprill-primer", library).value();
}

report::Page nasty_page() {
  report::Page page;
  page.title = page.below = kNasty;
  page.heading(kNasty);
  page.paragraph(kNasty);
  page.danger(kNasty);
  page.list({kNasty});
  page.table({{"head", kNasty}, {kNasty, "cell"}});
  report::SignalPath path{kNasty, kNasty, {{kNasty, kNasty, kNasty, kNasty}, {"U2", kNasty, "1", ""}}, {kNasty}};
  page.drawing(report::draw(path), report::in_one_line(path));
  return page;
}

std::size_t count(const std::string& text, const std::string& what) {
  std::size_t out = 0;
  for (std::size_t at = text.find(what); at != std::string::npos; at = text.find(what, at + 1)) ++out;
  return out;
}

}  // namespace

TEST_CASE("HTML escapes everything typed") {
  std::ostringstream out;
  report::write_html(out, nasty_page());
  CHECK(count(out.str(), "<script") == 0);
  CHECK(count(out.str(), "&lt;script&gt;") >= 8);
  CHECK(count(out.str(), "\x01") == 0);
  CHECK(count(out.str(), "http") == 1);  // the name space of SVG; nothing is fetched
  CHECK(count(out.str(), "<!DOCTYPE html>") == 1);
}

TEST_CASE("Markdown escapes what would be a mark") {
  std::ostringstream out;
  report::write_markdown(out, nasty_page());
  CHECK(count(out.str(), "<script") == 0);
  CHECK(report::markdown_text("a|b*c`d[e\\") == "a\\|b\\*c\\`d\\[e\\\\");
  CHECK(report::markdown_text("# no heading") == "\\# no heading");
  CHECK(report::markdown_text("R1 - 5") == "R1 - 5");
}

TEST_CASE("empty lists and tables leave nothing behind") {
  report::Page page;
  page.list({});
  page.table({{"only", "a head"}});
  CHECK(page.blocks.empty());
}

TEST_CASE("the path from a culprit to the lamps goes the way of the signal") {
  const auto machine = primer();
  const auto path = report::signal_path(*machine, machine->find_part("U5").value(), machine->find_function("lamps").value());
  REQUIRE(path.has_value());
  REQUIRE(path->stops.size() == 4);
  CHECK(path->stops[0].part == "U5");
  CHECK(path->stops[0].out == "3 (1Y)");
  CHECK(path->stops[1].part == "U7");
  CHECK(path->stops[1].in == "11 (CLK)");
  CHECK(path->stops[3].in == "A");
  CHECK(path->nets.front() == "OUTCK");
  CHECK(report::in_one_line(*path).substr(0, 15) == "U5 -OUTCK- U7 -");
  const std::string svg = report::draw(*path);
  CHECK(count(svg, "<rect") == 5);
  CHECK(count(svg, "OUTCK") >= 2);
  CHECK_FALSE(report::signal_path(*machine, machine->find_part("OPERATOR").value(), machine->find_function("lamps").value()).has_value());
}

TEST_CASE("a long path is drawn in rows no wider than the page") {
  report::SignalPath path{"U0", "it plays", {}, {}};
  for (int i = 0; i < 11; ++i) {
    path.stops.push_back({"U" + std::to_string(i), "something", "1", "2"});
    if (i > 0) path.nets.push_back("N" + std::to_string(i));
  }
  const std::string svg = report::draw(path, 720);
  CHECK(svg.find("viewBox=\"0 0 694") != std::string::npos);
  CHECK(count(svg, "<rect") == 12);
}
