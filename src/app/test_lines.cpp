#include "app/test_lines.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "app/advice.h"
#include "app/outcome_words.h"
#include "app/safety.h"
#include "app/swapping.h"
#include "base/text.h"
#include "observe/chip_round.h"

namespace halfsplit::app {
namespace {

using board::PinId;
using observe::Point;

/// The one word that is foretold; nothing where several are as likely.
std::optional<observe::Word> only_word(const fault::Outcome& outcome) {
  if (outcome.form != fault::Outcome::Form::words) return std::nullopt;
  for (std::size_t word = 0; word < outcome.p.size(); ++word)
    if (outcome.p[word] > 0.9f) return static_cast<observe::Word>(word);
  return std::nullopt;
}

class Teller {
 public:
  explicit Teller(Sitting& sitting) : sitting_(sitting), machine_(sitting.machine()) {}

  std::vector<report::TestLine> lines(const std::vector<fault::Test>& tests) {
    std::vector<fault::Query> queries;
    for (const fault::Test& test : tests) {
      queries.push_back(test.query);
      queries.insert(queries.end(), test.also.begin(), test.also.end());
    }
    StepBudget budget(std::numeric_limits<std::uint64_t>::max());
    const fault::OutcomeTable healthy = sitting_.model().predictor().outcomes({fault::Hypothesis()}, queries, budget);
    std::vector<report::TestLine> out;
    std::size_t column = 0;
    for (const fault::Test& test : tests) {
      out.push_back(test.also.empty() ? line(test, healthy.at(0, column)) : walk(test, healthy, column));
      column += 1 + test.also.size();
    }
    return out;
  }

 private:
  report::TestLine common(const fault::Test& test) const {
    report::TestLine out;
    out.kind = observe::name_of(test.query.kind);
    out.cycle = test.query.cycle;
    out.setup = board::describe(test.query.setup, machine_);
    out.steps = test.steps;
    out.minutes = test.minutes;
    out.bits = test.bits;
    for (const fault::Outlook& outlook : test.outcomes) out.outcomes.push_back({shown(outlook.value), outlook.p, outlook.means});
    out.caution = test.caution;
    out.cautions = cautions_for(test.query, sitting_.state(), machine_);
    out.reason = test.reason;
    return out;
  }
  report::TestLine line(const fault::Test& test, const fault::Outcome& healthy) const {
    report::TestLine out = common(test);
    out.point = typed_point(test.query.point);
    out.point_title = titled_point(test.query);
    out.expected = test.query.point.at == Point::At::function ? "" : expectation(healthy);
    if (const auto good = sitting_.good_at(test.query)) out.expected = observe::describe(*good, machine_);
    const std::string verb = test.query.kind == observe::Kind::function ? "symptom" : "read";
    if (!out.outcomes.empty()) out.type_in = fmt::format("halfsplit {} {} {}{}", verb, out.point, sample(test), in_cycle(test.query));
    say_state(test, out);
    return out;
  }
  /// A walk round a chip: its pins, and the marks a good machine shows as a line to type over.
  report::TestLine walk(const fault::Test& test, const fault::OutcomeTable& healthy, std::size_t column) const {
    report::TestLine out = common(test);
    const board::PartId id = machine_.pin(test.query.point.pin).part;
    const board::Part& part = machine_.part(id);
    std::vector<std::pair<PinId, std::optional<observe::Word>>> seen;
    std::vector<int> numbers;
    for (std::size_t i = 0; i <= test.also.size(); ++i) {
      const PinId pin = (i == 0 ? test.query : test.also[i - 1]).point.pin;
      seen.emplace_back(pin, only_word(healthy.at(0, column + i)));
      out.pins.push_back(machine_.name_of(pin));
    }
    out.point = part.ref;
    out.point_title = fmt::format("{} ({}), {} pins{}", part.ref, part.type->title, out.pins.size(), test.query.cycle.empty() ? "" : " in cycle " + test.query.cycle);
    const std::string marks = observe::round_marks(id, seen, machine_);
    out.expected = marks;
    out.type_in = fmt::format("halfsplit read {} {}{}", part.ref, marks, in_cycle(test.query));
    say_state(test, out);
    return out;
  }
  void say_state(const fault::Test& test, report::TestLine& out) const {
    const std::string swapped = swap_words(sitting_.state(), test.query.setup, machine_), changed = change_words(sitting_.state(), test.query.setup, machine_);
    if (!swapped.empty()) out.type_in = swapped + "; " + out.type_in;
    if (!changed.empty()) out.type_in = "halfsplit state " + changed + "; " + out.type_in;
  }
  static std::string in_cycle(const fault::Query& query) { return query.cycle.empty() ? "" : " in cycle " + query.cycle; }
  std::string typed_point(const Point& point) const {
    if (point.at != Point::At::leg) return observe::describe(point, machine_);
    return machine_.name_of(point.pin) + (point.side == observe::Side::leg ? std::string() : std::string(" ") + observe::name_of(point.side));
  }
  std::string titled_point(const fault::Query& query) const {
    std::string out = observe::describe(query.point, machine_);
    if (query.point.at == Point::At::function) return machine_.function(query.point.function).title;
    if (query.point.at == Point::At::part) out += " (" + machine_.part(query.point.part).type->title + ")";
    if (query.point.at == Point::At::leg)
      if (const auto net = net_of(query.point, machine_)) out += ", net " + machine_.net(*net).name;
    return out + in_cycle(query);
  }
  /// What is most likely typed next, as an example: the likeliest outcome.
  static std::string sample(const fault::Test& test) {
    observe::Value value = test.outcomes.front().value;
    if (value.is_number() && std::isfinite(value.from) && std::isfinite(value.to)) value.from = value.to = (value.from + value.to) / 2;
    return shown(value);
  }
  Sitting& sitting_;
  const board::Machine& machine_;
};

}  // namespace

std::vector<report::TestLine> test_lines(const std::vector<fault::Test>& tests, Sitting& sitting) { return Teller(sitting).lines(tests); }

}  // namespace halfsplit::app
