// Sections procedure and erratum: how a repair is done, and what is wrong with every machine of a revision.
#include <algorithm>

#include "base/text.h"
#include "board/amendment.h"
#include "knowledge/read_pack.h"

namespace halfsplit::knowledge {
namespace {

std::vector<std::string> list(Fields& fields, std::string_view key) { return fields.texts(key).value_or(std::vector<std::string>{}); }

void read_acts(Fields& fields, Procedure& out) {
  static const std::vector<std::string> kActs = {"replaced", "resoldered", "reseated", "cleaned", "rewired", "adjusted", "removed"};
  out.acts = list(fields, "act");
  for (const std::string& act : out.acts) {
    if (std::find(kActs.begin(), kActs.end(), act) != kActs.end()) continue;
    const auto near = did_you_mean(act, kActs);
    fields.fail(in_quotes(act) + " is no repair", fields.place(), near ? "did you mean " + in_quotes(*near) + "?" : join(kActs, ", "));
  }
}

Procedure read_procedure(Fields& fields, bool erratum) {
  Procedure out;
  read_entry(fields, out);
  out.erratum = erratum;
  out.title = fields.need_text("title");
  out.machine = erratum ? fields.need_text("machine") : fields.text("machine").value_or("");
  out.revisions = list(fields, "revision");
  out.places = list(fields, "place");
  if (erratum) {
    out.symptoms = list(fields, "symptom");
    out.changes = list(fields, "change");
    for (const std::string& change : out.changes)
      if (const auto read = board::parse_amendment(change); !read) fields.fail(read.error().message, fields.place(), read.error().hint);
  } else {
    out.classes = list(fields, "class");
    out.socketed = fields.boolean("socketed");
    read_acts(fields, out);
  }
  out.parts = list(fields, "parts");
  out.cautions = list(fields, "caution");
  out.steps = need_texts(fields, "steps");
  out.recheck = list(fields, "recheck");
  static_cast<void>(fields.text("note"));
  return out;
}

}  // namespace

void read_procedures(Fields& top, Entries& entries, Errors& errors) {
  for_each_table(top, "procedure", errors, [&](Fields& fields) { entries.procedures.push_back(read_procedure(fields, false)); });
  for_each_table(top, "erratum", errors, [&](Fields& fields) { entries.procedures.push_back(read_procedure(fields, true)); });
}

}  // namespace halfsplit::knowledge
