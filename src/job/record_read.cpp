// Records to events: names become ids of one machine, strictly. What is no record is bad_input; a name that the machine doesn't have is not_found.
#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/json.h"
#include "base/text.h"
#include "job/record.h"
#include "job/words.h"

namespace halfsplit::job {
namespace {

using board::Machine;
using observe::Observation;
using observe::Point;

constexpr double kNoLimit = std::numeric_limits<double>::infinity();

/// One JSON object; the first thing wrong with it, or anywhere below it, is kept in `trouble`.
class Members {
 public:
  Members(const Json& json, std::optional<Error>& trouble) : json_(json), trouble_(trouble) {
    if (!json.members()) fail("an object is missing");
  }
  const Json* find(const char* key) {
    asked_.emplace_back(key);
    return json_.find(key);
  }
  std::string text(const char* key) {
    const Json* found = find(key);
    if (!found) return {};
    if (const std::string* text = found->text()) return *text;
    fail(fmt::format("{} is no text", key));
    return {};
  }
  bool flag(const char* key) {
    const Json* found = find(key);
    if (!found) return false;
    if (const bool* flag = found->boolean()) return *flag;
    fail(fmt::format("{} is neither true nor false", key));
    return false;
  }
  std::optional<double> number(const char* key) {
    const Json* found = find(key);
    if (!found) return std::nullopt;
    if (const double* real = found->real()) return *real;
    if (const std::int64_t* integer = found->integer()) return static_cast<double>(*integer);
    fail(fmt::format("{} is no number", key));
    return std::nullopt;
  }
  std::optional<std::uint32_t> count(const char* key) {
    const Json* found = find(key);
    if (!found) return std::nullopt;
    const std::int64_t* integer = found->integer();
    if (integer && std::in_range<std::uint32_t>(*integer)) return static_cast<std::uint32_t>(*integer);
    fail(fmt::format("{} is no whole number", key));
    return std::nullopt;
  }
  template <class Enum>
  std::optional<Enum> word(const char* key) {
    const std::string text = this->text(key);
    const auto value = named<Enum>(text);
    if (!value && !text.empty()) fail(fmt::format("{} can't be {}", key, in_quotes(text)));
    return value;
  }
  template <class Enum>
  Enum need_word(const char* key) {
    const auto value = word<Enum>(key);
    if (!value) fail(fmt::format("{} is missing", key));
    return value.value_or(Enum{});
  }
  void finish() {
    if (!json_.members()) return;
    for (const auto& [key, value] : *json_.members())
      if (std::find(asked_.begin(), asked_.end(), key) == asked_.end()) fail(fmt::format("unknown key {}", in_quotes(key)));
  }
  void fail(std::string what) {
    if (!trouble_) trouble_ = bad_input("not a record of the bench: " + std::move(what));
  }

 private:
  const Json& json_;
  std::optional<Error>& trouble_;
  std::vector<std::string> asked_;
};

class RecordReader {
 public:
  RecordReader(const Machine& machine, const Line& line) : machine_(machine), line_(line) {}

  Result<observe::Event> read(const Json& json) {
    Members in(json, trouble_);
    const std::string kind = in.text("kind");
    observe::Event out = observe::Note{};
    if (kind == "observation") out = observation(in);
    else if (kind == "repair") out = repair(in);
    else if (kind == "state") out = state(in);
    else if (kind == "note") out = observe::Note{in.text("text"), line_.when};
    else if (kind == "amendment") out = observe::Amended{in.text("change"), in.flag("ours"), line_.when, line_.typed};
    else in.fail(fmt::format("kind can't be {}", in_quotes(kind)));
    in.finish();
    if (trouble_) return *trouble_;
    return out;
  }

 private:
  Observation observation(Members& in) {
    Observation out;
    out.point = point(in.find("point"), in, "point");
    out.kind = in.need_word<observe::Kind>("look");
    out.value = value(in.find("value"), in);
    out.setup = setup(in.find("setup"), in);
    out.share.seen = in.count("seen").value_or(1);
    out.share.trials = in.count("trials").value_or(1);
    if (out.share.trials == 0 || out.share.seen > out.share.trials) in.fail("seen more often than tried");
    out.condition = in.text("condition");
    out.cycle = in.text("cycle");
    out.how = in.text("how");
    out.sure = in.flag("sure");
    if (const std::string on = in.text("on"); on == "good") out.on_good = true;
    else if (!on.empty()) in.fail(fmt::format("on can't be {}", in_quotes(on)));
    out.typed = in.text("wording");
    if (out.typed.empty()) out.typed = line_.typed;
    out.when = line_.when;
    return out;
  }

  observe::Repair repair(Members& in) {
    observe::Repair out;
    out.act = in.need_word<observe::Repair::Act>("act");
    out.part = part(in, "part");
    out.pin = pin(in, "pin");
    if (!out.part.known()) in.fail("part is missing");
    out.when = line_.when;
    out.typed = line_.typed;
    return out;
  }

  observe::StateChange state(Members& in) {
    observe::StateChange out;
    const Json* found = in.find("setup");
    if (!found) in.fail("setup is missing");
    out.now = setup(found, in);
    out.done = actions(in.find("done"), in);
    out.remark = in.text("remark");
    out.when = line_.when;
    out.typed = line_.typed;
    return out;
  }

  Point point(const Json* json, Members& above, const char* key) {
    Point out;
    if (!json) {
      above.fail(fmt::format("{} is missing", key));
      return out;
    }
    Members in(*json, trouble_);
    out.at = in.need_word<Point::At>("at");
    out.pin = pin(in, "pin");
    out.other = pin(in, "other");
    out.net = net(in, "net");
    out.other_net = net(in, "other-net");
    out.part = part(in, "part");
    out.function = function(in);
    out.side = in.word<observe::Side>("side").value_or(observe::Side::leg);
    if (!whole(out)) in.fail("the point lacks its name");
    if (out.at == Point::At::leg && out.net.known() && out.pin.known()) out.net = machine_.pin(out.pin).net;  // a pad is where its pin is now
    in.finish();
    return out;
  }

  static bool whole(const Point& point) {
    switch (point.at) {
      case Point::At::leg: return point.pin.known();
      case Point::At::net: return point.net.known();
      case Point::At::pair: return (point.pin.known() || point.net.known()) && (point.other.known() || point.other_net.known());
      case Point::At::part: return point.part.known();
      case Point::At::function: return point.function.known();
      case Point::At::machine: return true;
    }
    return false;
  }

  observe::Value value(const Json* json, Members& above) {
    observe::Value out;
    if (!json) {
      above.fail("value is missing");
      return out;
    }
    Members in(*json, trouble_);
    out.word = in.word<observe::Word>("word");
    out.unit = in.word<observe::Unit>("unit").value_or(observe::Unit::none);
    const auto from = in.number("from"), to = in.number("to");
    if (out.is_number()) {
      out.from = from.value_or(-kNoLimit);
      out.to = to.value_or(kNoLimit);
      if (out.from > out.to) in.fail("from is above to");
    } else if (from || to) {
      in.fail("a number without its unit");
    }
    out.about = in.flag("about");
    const auto wanted = in.count("wanted"), got = in.count("got");
    if (wanted.has_value() != got.has_value()) in.fail("wanted and got belong together");
    if (wanted && got) out.wanted_got = {*wanted, *got};
    if (const auto failing = in.count("failing")) out.failing = *failing;
    if (const auto how = in.word<observe::Relative::How>("relative")) {
      out.relative = observe::Relative{*how, {}};
      if (const Json* other = in.find("other")) out.relative->other = point(other, in, "other");
    }
    out.note = in.text("note");
    in.finish();
    return out;
  }

  board::Setup setup(const Json* json, Members& above) {
    std::vector<board::Action> all = actions(json, above);
    return trouble_ ? board::Setup{} : board::Setup(std::move(all));
  }

  std::vector<board::Action> actions(const Json* json, Members& above) {
    std::vector<board::Action> out;
    if (!json) return out;
    const Json::Array* items = json->items();
    if (!items) above.fail("setup is no list");
    else
      for (const Json& item : *items) out.push_back(action(item));
    return out;
  }

  board::Action action(const Json& json) {
    board::Action out;
    Members in(json, trouble_);
    out.kind = in.need_word<board::Action::Kind>("do");
    out.part = part(in, "part");
    out.pin = pin(in, "pin");
    out.other = pin(in, "other");
    out.what = in.text("what");
    out.from = part(in, "from");
    const std::uint32_t spare = in.count("spare").value_or(0);
    if (spare > 255) in.fail("spare is above 255");
    out.spare = static_cast<std::uint8_t>(std::min<std::uint32_t>(spare, 255));
    if (!whole(out)) in.fail("the change of state lacks its name");
    in.finish();
    return out;
  }

  static bool whole(const board::Action& action) {
    using Kind = board::Action::Kind;
    switch (action.kind) {
      case Kind::power_off: return true;
      case Kind::pull:
      case Kind::unplug:
      case Kind::hold: return action.part.known();
      case Kind::lift:
      case Kind::force_low:
      case Kind::force_high: return action.pin.known();
      case Kind::bridge: return action.pin.known() && action.other.known();
      case Kind::open: return !action.what.empty();
      case Kind::fit: return action.part.known() && action.from.known();
    }
    return false;
  }

  /// The id of a name; absent = an id that isn't known.
  template <class Id, class Find>
  Id id_of(Members& in, const char* key, Find find) {
    const std::string name = in.text(key);
    if (name.empty()) return {};
    const Result<Id> id = find(name);
    if (id) return *id;
    if (!trouble_) trouble_ = id.error();
    return {};
  }
  board::PartId part(Members& in, const char* key) {
    return id_of<board::PartId>(in, key, [&](const std::string& name) { return machine_.find_part(name); });
  }
  board::PinId pin(Members& in, const char* key) {
    return id_of<board::PinId>(in, key, [&](const std::string& name) { return machine_.find_pin(name); });
  }
  board::NetId net(Members& in, const char* key) {
    return id_of<board::NetId>(in, key, [&](const std::string& name) { return exact_net(name); });
  }
  board::FunctionId function(Members& in) {
    return id_of<board::FunctionId>(in, "function", [&](const std::string& name) { return machine_.find_function(name); });
  }
  /// The very name first: people may leave out sheets and case, a record doesn't.
  Result<board::NetId> exact_net(const std::string& name) const {
    const auto& nets = machine_.nets();
    for (std::size_t i = 0; i < nets.size(); ++i)
      if (nets[i].name == name) return board::NetId(i);
    return machine_.find_net(name);
  }

  const Machine& machine_;
  const Line& line_;
  std::optional<Error> trouble_;
};

}  // namespace

Result<observe::Event> read_record(std::string_view value, const Machine& machine, const Line& line) {
  const auto json = parse_json(value);
  if (!json) return bad_input("not a record of the bench: " + json.error().message);
  return RecordReader(machine, line).read(*json);
}

Resolved resolve(const std::vector<Line>& lines, const Machine& machine) {
  Resolved out;
  for (std::size_t i = 0; i < lines.size(); ++i)
    for (std::size_t j = 0; j < lines[i].records.size(); ++j) {
      const Record& record = lines[i].records[j];
      auto event = read_record(record.value, machine, lines[i]);
      if (!event) {
        out.lost.push_back({i, j, lines[i].typed, record.text, event.error()});
        continue;
      }
      out.history.add(*std::move(event));
      out.line_of.push_back(i);
    }
  return out;
}

}  // namespace halfsplit::job
