#include <doctest/doctest.h>

#include <set>

#include "job/expectation.h"
#include "job/words.h"

using namespace halfsplit;
using namespace halfsplit::job;

namespace {
Expectation read(std::string_view text) {
  const auto out = parse_expectation(text);
  REQUIRE_MESSAGE(out.ok(), (out.ok() ? "" : out.error().text()));
  return out.value();
}
template <class Enum>
void words_are_one_to_one() {
  const auto all = all_words<Enum>();
  CHECK(std::set<std::string>(all.begin(), all.end()).size() == all.size());
  for (std::size_t i = 0; i < all.size(); ++i) {
    CHECK(named<Enum>(all[i]) == static_cast<Enum>(i));
    CHECK(word_of(static_cast<Enum>(i)) == all[i]);
    CHECK(all[i].find(' ') == std::string::npos);
  }
  CHECK_FALSE(named<Enum>("").has_value());
  CHECK_FALSE(named<Enum>("no such word").has_value());
}
}  // namespace

TEST_CASE("stable words and enumerators are one to one") {
  words_are_one_to_one<observe::Kind>();
  words_are_one_to_one<observe::Word>();
  words_are_one_to_one<observe::Unit>();
  words_are_one_to_one<observe::Side>();
  words_are_one_to_one<observe::Point::At>();
  words_are_one_to_one<observe::Relative::How>();
  words_are_one_to_one<observe::Repair::Act>();
  words_are_one_to_one<board::Action::Kind>();
  // Spot checks against a shifted table.
  CHECK(std::string(word_of(observe::Kind::volts_dc)) == "volts-dc");
  CHECK(std::string(word_of(observe::Kind::count)) == "count");
  CHECK(std::string(word_of(observe::Word::middle)) == "middle");
  CHECK(std::string(word_of(observe::Word::good)) == "good");
  CHECK(std::string(word_of(observe::Unit::farads)) == "farads");
  CHECK(std::string(word_of(board::Action::Kind::force_high)) == "force-high");
}

TEST_CASE("a suspect is expected by rank and probability and mode") {
  const Expectation suspect = read("suspect U14 within 3 at-least 0.6 at-most 1 mode output-stuck-low");
  CHECK(suspect.what == Expectation::What::suspect);
  CHECK(suspect.subject == "U14");
  CHECK(suspect.within == 3);
  CHECK(suspect.at_least == 0.6);
  CHECK(suspect.at_most == 1.0);
  CHECK(suspect.mode == "output-stuck-low");
  CHECK(read("suspect U14 first").within == 1);
  CHECK(read("suspect U9 at-most 1e-3").at_most == 1e-3);
}

TEST_CASE("outside and next and error are expected") {
  CHECK(read("outside at-most 0.1").at_most == 0.1);
  const Expectation next = read("next net  A5 by volts-dc within 2");
  CHECK(next.subject == "net A5");
  CHECK(next.kind == observe::Kind::volts_dc);
  CHECK(next.within == 2);
  CHECK(read("next U9.12 by probe").within == 1);
  CHECK(read("error  no part U99,  did").subject == "no part U99,  did");
}

TEST_CASE("what an expectation writes it reads again") {
  for (const char* text : {"suspect U14 first", "suspect kbd/SW12 within 7 at-least 0.125 at-most 0.5 mode contact-open", "outside at-least 0.1 at-most 0.2", "next U9.12 by probe first",
                           "next +5V by volts-dc within 12", "error part"}) {
    CAPTURE(text);
    CHECK(write_expectation(read(text)) == text);
    CHECK(read(write_expectation(read(text))) == read(text));
  }
}

TEST_CASE("expectations that can't be met or understood are refused") {
  for (const char* text : {"", "supect U14 first", "suspect", "suspect U14", "suspect U14 within", "suspect U14 within 0", "suspect U14 within -1", "suspect U14 within 2.5",
                           "suspect U14 first first", "suspect U14 first within 2", "suspect U14 at-least 1.1", "suspect U14 at-least nan", "suspect U14 at-most -0.1",
                           "suspect U14 at-least 0.5 at-least 0.6", "suspect U14 mode", "suspect U14 firstly", "outside", "outside first", "next", "next by probe", "next U5.8",
                           "next U5.8 by", "next U5.8 by prob", "next U5.8 by probe at-least 0.5", "error", "error  "}) {
    CAPTURE(text);
    const auto out = parse_expectation(text);
    REQUIRE_FALSE(out.ok());
    CHECK(out.error().code == ErrorCode::usage);
    CHECK_FALSE(out.error().hint.empty());
  }
  CHECK(parse_expectation("supect U14 first").error().hint == "did you mean suspect?");
  CHECK(parse_expectation("next U5.8 by prob").error().hint == "did you mean probe?");
}
