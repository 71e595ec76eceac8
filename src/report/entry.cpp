#include "report/entry.h"

#include <fmt/core.h>

#include <ostream>

#include "base/text.h"
#include "plan/wording.h"

namespace halfsplit::report {
namespace {

std::string cleared_sentence(const std::vector<ShiftLine>& cleared) {
  std::vector<std::string> pieces;
  for (const ShiftLine& shift : cleared) pieces.push_back(fmt::format("{} ({} to {})", shift.site, plan::percent(shift.before), plan::percent(shift.after)));
  return "Clears " + join(pieces, ", ") + ".";
}

std::string first_sentence(const ShiftLine& first) {
  if (first.after > first.before * 1.05) return fmt::format("Foremost suspect: {}, {} (was {}).", first.site, plan::percent(first.after), plan::percent(first.before));
  return fmt::format("Foremost suspect: {}, {}.", first.site, plan::percent(first.after));
}

const char* name_of(MeaningLine::Verdict verdict) {
  switch (verdict) {
    case MeaningLine::Verdict::as_expected: return "as-expected";
    case MeaningLine::Verdict::low: return "low";
    case MeaningLine::Verdict::high: return "high";
    case MeaningLine::Verdict::different: return "different";
    case MeaningLine::Verdict::unknown: return "unknown";
  }
  return "unknown";
}

Json json_of(const ShiftLine& shift) {
  Json out;
  return out.set("site", shift.site).set("before", json_share(shift.before)).set("after", json_share(shift.after));
}

}  // namespace

std::string sentence(const MeaningLine& meaning) {
  // That a function should work goes without saying.
  if (meaning.kind == "function") return meaning.point + ": " + meaning.value + (meaning.note.empty() ? "" : " (" + meaning.note + ")") + ".";
  std::string out = meaning.point + "  " + meaning.value;
  switch (meaning.verdict) {
    case MeaningLine::Verdict::as_expected: out += ": as it should be"; break;
    case MeaningLine::Verdict::low: out += fmt::format(": low, {} expected", meaning.expected); break;
    case MeaningLine::Verdict::high: out += fmt::format(": high, {} expected", meaning.expected); break;
    case MeaningLine::Verdict::different: out += fmt::format(": not as it should be, {} expected", meaning.expected); break;
    case MeaningLine::Verdict::unknown: out += ": noted; the model can't say what to expect here"; break;
  }
  if (!meaning.note.empty()) out += fmt::format(" ({})", meaning.note);
  return out + ".";
}

void print(std::ostream& out, const Entry& entry, const Style& style) {
  print(out, entry.slip, style);
  for (const std::string& line : entry.lines) paragraph(out, line, style);
  for (const PackagePicture& picture : entry.pictures) print(out, picture, style);
  for (const MeaningLine& meaning : entry.meanings) {
    const bool wrong = meaning.verdict != MeaningLine::Verdict::as_expected && meaning.verdict != MeaningLine::Verdict::unknown;
    if (meaning.pictured && !wrong) continue;
    paragraph(out, sentence(meaning), wrong ? Ink::strong : Ink::plain, style);
  }
  if (!entry.cleared.empty()) paragraph(out, cleared_sentence(entry.cleared), style);
  if (entry.first) paragraph(out, first_sentence(*entry.first), style);
  if (entry.next) print_short(out, *entry.next, style);
}

Json json_of(const Entry& entry) {
  Json out, meanings = Json::array(), cleared = Json::array(), pictures = Json::array();
  for (const PackagePicture& picture : entry.pictures) pictures.push(json_of(picture));
  for (const MeaningLine& meaning : entry.meanings) {
    Json one;
    one.set("point", meaning.point).set("kind", meaning.kind).set("value", meaning.value).set("verdict", name_of(meaning.verdict));
    meanings.push(one.set("expected", meaning.expected).set("note", meaning.note));
  }
  for (const ShiftLine& shift : entry.cleared) cleared.push(json_of(shift));
  out.set("schema", "halfsplit/" + entry.what + "/1").set("lines", json_of(entry.lines)).set("understood", std::move(meanings)).set("cleared", std::move(cleared)).set("packages", std::move(pictures));
  out.set("first", entry.first ? json_of(*entry.first) : Json());
  const bool test = entry.next && entry.next->act == Next::Act::measure && !entry.next->tests.empty();
  out.set("next", test ? json_of(entry.next->tests.front()) : Json());
  out.set("repair", entry.next && entry.next->act == Next::Act::repair ? Json(entry.next->site) : Json());
  out.set("kept", !entry.nothing_kept);
  add_json(out, entry.slip);
  return out;
}

}  // namespace halfsplit::report
