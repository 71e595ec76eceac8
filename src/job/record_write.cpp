// Events to records: ids become names.
#include <cmath>

#include "base/json.h"
#include "job/record.h"
#include "job/words.h"

namespace halfsplit::job {
namespace {

using board::Machine;
using observe::Observation;
using observe::Point;

void set_text(Json& out, const char* key, const std::string& text) {
  if (!text.empty()) out.set(key, text);
}

class RecordWriter {
 public:
  RecordWriter(const Machine& machine, std::string_view line_typed) : machine_(machine), line_typed_(line_typed) {}

  Json write(const Observation& seen) const {
    Json out;
    out.set("kind", "observation").set("point", write(seen.point)).set("look", word_of(seen.kind)).set("value", write(seen.value));
    if (!seen.setup.actions().empty()) out.set("setup", write(seen.setup));
    if (seen.share != observe::Share{}) out.set("seen", seen.share.seen).set("trials", seen.share.trials);
    set_text(out, "condition", seen.condition);
    set_text(out, "cycle", seen.cycle);
    set_text(out, "how", seen.how);
    if (seen.sure) out.set("sure", true);
    if (seen.on_good) out.set("on", "good");
    if (seen.typed != line_typed_) set_text(out, "wording", seen.typed);
    return out;
  }
  Json write(const observe::Repair& repair) const {
    Json out;
    out.set("kind", "repair").set("act", word_of(repair.act)).set("part", machine_.part(repair.part).ref);
    if (repair.pin.known()) out.set("pin", machine_.name_of(repair.pin));
    return out;
  }
  Json write(const observe::StateChange& change) const {
    Json out;
    out.set("kind", "state").set("setup", write(change.now));
    if (change.done.size() > 1) out.set("done", write(change.done));
    else if (!change.remark.empty() && !change.done.empty()) out.set("done", write(change.done));
    set_text(out, "remark", change.remark);
    return out;
  }
  Json write(const observe::Note& note) const {
    Json out;
    out.set("kind", "note").set("text", note.text);
    return out;
  }
  Json write(const observe::Amended& amended) const {
    Json out;
    out.set("kind", "amendment").set("change", amended.change);
    if (amended.ours) out.set("ours", true);
    return out;
  }

 private:
  Json write(const Point& point) const {
    Json out;
    out.set("at", word_of(point.at));
    if (point.pin.known()) out.set("pin", machine_.name_of(point.pin));
    if (point.other.known()) out.set("other", machine_.name_of(point.other));
    if (point.net.known()) out.set("net", machine_.net(point.net).name);
    if (point.other_net.known()) out.set("other-net", machine_.net(point.other_net).name);
    if (point.part.known()) out.set("part", machine_.part(point.part).ref);
    if (point.function.known()) out.set("function", machine_.function(point.function).id);
    if (point.side != observe::Side::leg) out.set("side", word_of(point.side));
    return out;
  }
  Json write(const observe::Value& value) const {
    Json out = Json::object();
    if (value.word) out.set("word", word_of(*value.word));
    if (value.is_number()) {
      out.set("unit", word_of(value.unit));
      if (std::isfinite(value.from)) out.set("from", value.from);
      if (std::isfinite(value.to)) out.set("to", value.to);
    }
    if (value.about) out.set("about", true);
    if (value.wanted_got) out.set("wanted", value.wanted_got->first).set("got", value.wanted_got->second);
    if (value.failing) out.set("failing", *value.failing);
    if (value.relative) {
      out.set("relative", word_of(value.relative->how));
      if (value.relative->other) out.set("other", write(*value.relative->other));
    }
    set_text(out, "note", value.note);
    return out;
  }
  Json write(const board::Setup& setup) const { return write(setup.actions()); }
  Json write(const std::vector<board::Action>& actions) const {
    Json out = Json::array();
    for (const board::Action& action : actions) {
      Json one;
      one.set("do", word_of(action.kind));
      if (action.part.known()) one.set("part", machine_.part(action.part).ref);
      if (action.pin.known()) one.set("pin", machine_.name_of(action.pin));
      if (action.other.known()) one.set("other", machine_.name_of(action.other));
      set_text(one, "what", action.what);
      if (action.from.known()) one.set("from", machine_.part(action.from).ref);
      if (action.spare > 0) one.set("spare", static_cast<std::uint32_t>(action.spare));
      out.push(std::move(one));
    }
    return out;
  }

  const Machine& machine_;
  std::string_view line_typed_;
};

/// One line for people.
struct Telling {
  const Machine& machine;
  std::string operator()(const Observation& seen) const {
    return observe::describe(seen.point, seen.kind, machine) + ": " + observe::name_of(seen.kind) + " " + observe::describe(seen.value, machine) +
           (seen.condition.empty() ? "" : ", " + seen.condition);
  }
  std::string operator()(const observe::Repair& repair) const {
    return (repair.pin.known() ? machine.name_of(repair.pin) : machine.part(repair.part).ref) + " " + observe::name_of(repair.act);
  }
  std::string operator()(const observe::StateChange& change) const { return board::describe(change.now, machine) + (change.remark.empty() ? "" : " (" + change.remark + ")"); }
  std::string operator()(const observe::Note& note) const { return note.text; }
  std::string operator()(const observe::Amended& amended) const { return amended.change; }
};

struct KindOf {
  const char* operator()(const Observation&) const { return "observation"; }
  const char* operator()(const observe::Repair&) const { return "repair"; }
  const char* operator()(const observe::StateChange&) const { return "state"; }
  const char* operator()(const observe::Note&) const { return "note"; }
  const char* operator()(const observe::Amended&) const { return "amendment"; }
};

}  // namespace

Record record_of(const observe::Event& event, const Machine& machine, std::string_view line_typed) {
  const RecordWriter writer(machine, line_typed);
  Record out;
  out.kind = std::visit(KindOf{}, event);
  out.text = std::visit(Telling{machine}, event);
  out.value = std::visit([&](const auto& one) { return writer.write(one); }, event).dump(-1);
  return out;
}

}  // namespace halfsplit::job
