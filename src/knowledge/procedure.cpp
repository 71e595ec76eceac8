#include "knowledge/procedure.h"

#include <algorithm>

namespace halfsplit::knowledge {
namespace {

bool holds(const std::vector<std::string>& list, const std::string& word) { return std::find(list.begin(), list.end(), word) != list.end(); }

bool of_machine(const Procedure& procedure, const board::Machine& machine) {
  return (procedure.machine.empty() || procedure.machine == machine.id()) && (procedure.revisions.empty() || holds(procedure.revisions, machine.revision()));
}

/// What the procedure asks for, a place counting most; nothing where something doesn't fit.
std::optional<int> fit(const Procedure& procedure, const board::Machine& machine, const board::Part& part, const std::string& act) {
  if (procedure.erratum || !of_machine(procedure, machine)) return std::nullopt;
  if (!procedure.places.empty() && !holds(procedure.places, part.ref)) return std::nullopt;
  if (!procedure.classes.empty() && !holds(procedure.classes, part.type->rate_class)) return std::nullopt;
  if (!procedure.acts.empty() && !holds(procedure.acts, act)) return std::nullopt;
  if (procedure.socketed && *procedure.socketed != part.socketed) return std::nullopt;
  return (procedure.machine.empty() ? 0 : 4) + (procedure.places.empty() ? 0 : 8) + (procedure.classes.empty() ? 0 : 2) + (procedure.socketed ? 1 : 0);
}

}  // namespace

const Procedure* procedure_for(const Knowledge& knowledge, const board::Machine& machine, board::PartId part, const std::string& act) {
  const Procedure* out = nullptr;
  int best = -1;
  for (const Procedure& one : knowledge.entries().procedures)
    if (const auto asked = fit(one, machine, machine.part(part), act); asked && *asked > best) {
      out = &one;
      best = *asked;
    }
  return out;
}

std::vector<const Procedure*> errata_of(const Knowledge& knowledge, const board::Machine& machine) {
  std::vector<const Procedure*> out;
  for (const Procedure& one : knowledge.entries().procedures)
    if (one.erratum && of_machine(one, machine)) out.push_back(&one);
  return out;
}

const Procedure* erratum_named(const Knowledge& knowledge, const board::Machine& machine, const std::string& id) {
  for (const Procedure* one : errata_of(knowledge, machine))
    if (one->id == id) return one;
  return nullptr;
}

std::string about(std::string text, const std::string& part) {
  constexpr std::string_view kPart = "{part}";
  for (std::size_t at = text.find(kPart); at != std::string::npos; at = text.find(kPart, at + part.size())) text.replace(at, kPart.size(), part);
  return text;
}

}  // namespace halfsplit::knowledge
