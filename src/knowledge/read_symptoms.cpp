// Sections subject, state, symptom, filler, base: words of owners, and what was found behind them.
#include "base/text.h"
#include "knowledge/read_pack.h"

namespace halfsplit::knowledge {
namespace {

observe::Word need_word(Fields& fields) {
  static const std::vector<std::pair<const char*, observe::Word>> kWords{
      {"right", observe::Word::right}, {"dead", observe::Word::dead}, {"wrong", observe::Word::wrong}, {"weak", observe::Word::weak},
      {"intermittent", observe::Word::intermittent}, {"bad", observe::Word::bad}, {"hot", observe::Word::hot}};
  const std::string told = fields.need_text("word");
  std::vector<std::string> known;
  for (const auto& [name, word] : kWords) {
    if (told == name) return word;
    known.emplace_back(name);
  }
  const auto near = did_you_mean(told, known);
  fields.fail(in_quotes(told) + " is no state of a function", fields.place(), near ? "did you mean " + in_quotes(*near) + "?" : "known: " + join(known, ", "));
  return observe::Word::bad;
}

std::vector<Link> read_links(Fields& fields, Errors& errors) {
  std::vector<Link> out;
  for_each_table(fields, "links", errors, [&](Fields& link) {
    out.push_back({link.need_text("area"), link.need_text("cause"), number_within(link, "aged", 0, 1e9, 0), number_within(link, "recent", 0, 1e9, 0)});
  });
  return out;
}

Symptom read_symptom(Fields& fields, Errors& errors) {
  Symptom out;
  read_entry(fields, out);
  out.title = fields.need_text("title");
  out.kind = fields.need_text("kind");
  if (const auto look = fields.text("look"))
    if (const auto kind = kind_named(fields, *look, fields.place())) out.look = *kind;
  out.word = need_word(fields);
  out.every = fields.boolean("every").value_or(false);
  out.phrases = need_texts(fields, "phrases");
  out.links = read_links(fields, errors);
  return out;
}

}  // namespace

void read_symptoms(Fields& top, Entries& entries, Errors& errors) {
  for_each_table(top, "subject", errors, [&](Fields& fields) {
    Subject subject;
    read_entry(fields, subject);
    subject.kinds = need_texts(fields, "kinds");
    subject.every = fields.boolean("every").value_or(false);
    subject.words = need_texts(fields, "words");
    entries.subjects.push_back(std::move(subject));
  });
  for_each_table(top, "state", errors, [&](Fields& fields) {
    State state;
    read_entry(fields, state);
    state.word = need_word(fields);
    state.words = need_texts(fields, "words");
    entries.states.push_back(std::move(state));
  });
  for_each_table(top, "symptom", errors, [&](Fields& fields) { entries.symptoms.push_back(read_symptom(fields, errors)); });
  Filler filler;
  if (for_table(top, "filler", errors, [&](Fields& fields) {
        read_entry(fields, filler, "filler");
        filler.words = need_texts(fields, "words");
        filler.negations = need_texts(fields, "negations");
        filler.breaks = need_texts(fields, "breaks");
        filler.conditions = need_texts(fields, "conditions");
        for_each_table(fields, "contractions", errors, [&](Fields& item) { filler.contractions.push_back({item.need_text("short"), item.need_text("full")}); });
      }))
    entries.filler = filler;
  LinkBase base;
  if (for_table(top, "base", errors, [&](Fields& fields) {
        read_entry(fields, base, "base");
        base.weight = number_within(fields, "weight", 0, 1e6);
        base.links = read_links(fields, errors);
      }))
    entries.base = base;
}

}  // namespace halfsplit::knowledge
