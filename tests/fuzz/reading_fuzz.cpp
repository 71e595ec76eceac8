// Any bytes as a reading, a value, a point, a state, a repair: read, or an error with a message and a hint; what is shown of a number reads back.
#include <cmath>

#include "../observe/bench_machine.h"
#include "expect.h"
#include "observe/parse.h"

using namespace halfsplit;
using namespace halfsplit::observe;

namespace {

void expect_helpful(const Error& error) {
  fuzz::expect(error.code == ErrorCode::usage || error.code == ErrorCode::not_found, "a typed line is usage or not found");
  fuzz::expect(!error.message.empty(), "an error says what is wrong");
  fuzz::expect(!error.hint.empty(), "an error says how to do it right");
}

void expect_sound(const Value& value) {
  fuzz::expect(!std::isnan(value.from) && !std::isnan(value.to), "numbers are numbers");
  fuzz::expect(value.from <= value.to, "ranges run upwards");
  fuzz::expect(value.is_number() || value.word || value.relative || value.wanted_got, "a value says something");
  fuzz::expect(!describe(value).empty(), "a value can be shown");
}

void value_line(std::string_view text) {
  const auto read = parse_value(text, &bench::machine());
  if (!read) return expect_helpful(read.error());
  expect_sound(read->value);
  fuzz::expect(read->share.trials > 0 && read->share.seen <= read->share.trials, "shares are shares");
  if (!read->value.is_number() || read->value.unit == Unit::plain || read->value.unit == Unit::none) return;
  Value bare = read->value;
  bare.note.clear();
  const auto again = parse_value(describe(bare));
  fuzz::expect(again.ok() && again->value.unit == bare.unit, "what is shown of a number reads back");
}

void reading_line(std::string_view text, const board::Setup& state) {
  const auto read = parse_reading(text, bench::machine(), state);
  if (!read) return expect_helpful(read.error());
  fuzz::expect(!read->empty(), "a reading has an observation");
  for (const Observation& one : *read) {
    expect_sound(one.value);
    fuzz::expect(!describe(one.point, bench::machine()).empty(), "a point can be shown");
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  value_line(text);
  reading_line(text, {});
  if (const auto point = parse_point(text, bench::machine()); !point) expect_helpful(point.error());
  if (const auto repair = parse_repair(text, bench::machine()); !repair) expect_helpful(repair.error());
  const auto state = parse_state(text, bench::machine(), {});
  if (!state) expect_helpful(state.error());
  else fuzz::expect(!board::describe(*state, bench::machine()).empty(), "a state can be shown");
  return 0;
}
