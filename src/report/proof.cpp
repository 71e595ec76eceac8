#include "report/proof.h"

#include <fmt/core.h>

#include <algorithm>
#include <iterator>
#include <ostream>

#include "base/text.h"

namespace halfsplit::report {
namespace {

template <class Wanted>
std::vector<ProofRow> rows_that(const Proof& proof, Wanted wanted) {
  std::vector<ProofRow> out;
  std::copy_if(proof.rows.begin(), proof.rows.end(), std::back_inserter(out), wanted);
  return out;
}

void section(std::ostream& out, const std::string& head, const std::vector<ProofRow>& rows, const Style& style) {
  if (rows.empty()) return;
  paragraph(out, head, Ink::strong, style);
  for (const ProofGroup& group : grouped(rows)) paragraph(out, group.names + (group.text.empty() ? "" : ": " + group.text), style, "  ");
}

std::string without_key(const std::string& title) { return starts_with(title, "key ") ? title.substr(4) : title; }

}  // namespace

std::vector<ProofGroup> grouped(const std::vector<ProofRow>& rows) {
  std::vector<ProofGroup> out;
  std::vector<std::pair<std::string, bool>> marks;
  for (const ProofRow& row : rows) {
    const std::pair<std::string, bool> mark{row.text, row.key};
    const auto found = std::find(marks.begin(), marks.end(), mark);
    if (found == marks.end()) {
      marks.push_back(mark);
      out.push_back({row.title, row.text});
    } else {
      out[static_cast<std::size_t>(found - marks.begin())].names += ", " + (row.key ? without_key(row.title) : row.title);
    }
  }
  return out;
}

std::string proof_sum(const Proof& proof) {
  if (proof.owed == 0) return fmt::format("everything proven ({})", proof.proven);
  return fmt::format("{} proven, {} owed", proof.proven, proof.owed);
}

void print(std::ostream& out, const Proof& proof, const Style& style) {
  print(out, proof.slip, style);
  paragraph(out, "Proof: " + proof_sum(proof) + ".", Ink::strong, style);
  section(out, "Not working:", rows_that(proof, [](const ProofRow& row) { return row.standing == "failing"; }), style);
  section(out, "To do now:", rows_that(proof, [](const ProofRow& row) { return row.is_owed() && row.now && row.standing != "failing"; }), style);
  std::vector<std::string> heads;
  for (const ProofRow& row : proof.rows)
    if (row.is_owed() && !row.now && row.standing != "failing" && std::find(heads.begin(), heads.end(), row.first) == heads.end()) heads.push_back(row.first);
  for (const std::string& head : heads)
    section(out, "After reassembly (" + head + "):", rows_that(proof, [&](const ProofRow& row) { return row.is_owed() && !row.now && row.standing != "failing" && row.first == head; }), style);
  section(out, "Proven:", rows_that(proof, [](const ProofRow& row) { return row.standing == "proven"; }), style);
  section(out, "Not wanted:", rows_that(proof, [](const ProofRow& row) { return row.standing == "aside"; }), style);
  section(out, "Stays as it is:", rows_that(proof, [](const ProofRow& row) { return row.standing == "stays"; }), style);
  if (!proof.reassembly.empty()) paragraph(out, fmt::format("{} of reassembly left: halfsplit state --back", counted(proof.reassembly.size(), "step")), style);
}

Json json_of(const Proof& proof) {
  Json out, items = Json::array();
  for (const ProofRow& row : proof.rows) {
    Json one;
    one.set("subject", row.subject).set("name", row.name).set("title", row.title).set("standing", row.standing).set("owed", row.is_owed()).set("now", row.now).set("first", row.first);
    one.set("text", row.text).set("line", row.line == 0 ? Json() : Json(row.line)).set("epoch", row.epoch == 0 ? Json() : Json(row.epoch)).set("when", row.when);
    items.push(std::move(one));
  }
  out.set("schema", "halfsplit/proof/1").set("proven", proof.proven).set("owed", proof.owed).set("items", std::move(items)).set("reassembly", json_of(proof.reassembly));
  add_json(out, proof.slip);
  return out;
}

}  // namespace halfsplit::report
