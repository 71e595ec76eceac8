// Checklists and errata: which one belongs to a repair, and what a pack with anything wrong is told.
#include "knowledge/procedure.h"

#include <algorithm>

#include "board/amendment.h"
#include "board/spec.h"
#include "support.h"

using namespace halfsplit;
using namespace halfsplit::knowledge;

namespace {

std::shared_ptr<const board::Machine> home() {
  const auto library = parts::Library::open(std::string(HALFSPLIT_SOURCE_DIR) + "/shared/parts").value();
  return board::load_machine(std::string(HALFSPLIT_SOURCE_DIR) + "/boards/osprill-home-8", library).value();
}

std::string procedure_id(const board::Machine& machine, const std::string& part, const std::string& act) {
  const Procedure* found = procedure_for(*shipped(), machine, machine.find_part(part).value(), act);
  return found ? found->id : "";
}

}  // namespace

TEST_CASE("a repair has the checklist that asks for most") {
  const auto machine = home();
  CHECK(procedure_id(*machine, "C5", "replaced") == "change-polarised-capacitor");
  CHECK(procedure_id(*machine, "U30", "replaced") == "change-regulator");
  CHECK(procedure_id(*machine, "J4", "cleaned") == "clean-contacts");
  CHECK(procedure_id(*machine, "R4", "replaced") == "any-repair");
  CHECK(procedure_id(*machine, "U9", "resoldered") == "resolder-joint");
}

TEST_CASE("errata are those of the machine and its revision and every change of theirs fits the board") {
  const auto machine = home();
  const auto errata = errata_of(*shipped(), *machine);
  REQUIRE_FALSE(errata.empty());
  for (const Procedure* one : errata) {
    CHECK(one->machine == machine->id());
    CHECK(erratum_named(*shipped(), *machine, one->id) == one);
    for (const std::string& place : one->places) CHECK_MESSAGE(machine->find_part(place).ok(), place);
    for (const std::string& symptom : one->symptoms)
      CHECK_MESSAGE(std::any_of(shipped()->entries().symptoms.begin(), shipped()->entries().symptoms.end(), [&](const Symptom& known) { return known.id == symptom; }), symptom);
    const auto spec = board::load_spec(std::string(HALFSPLIT_SOURCE_DIR) + "/boards/" + machine->id());
    REQUIRE(spec.ok());
    std::vector<board::Amendment> changes;
    for (const std::string& change : one->changes) changes.push_back(board::parse_amendment(change).value());
    const auto amended = board::amend(*spec, changes, *parts::Library::open(std::string(HALFSPLIT_SOURCE_DIR) + "/shared/parts").value());
    CHECK_MESSAGE(amended.ok(), (amended.ok() ? "" : amended.error().text()));
  }
  CHECK(erratum_named(*shipped(), *machine, "no-such-thing") == nullptr);
}

TEST_CASE("a procedure without steps or with an unknown act is refused with its place") {
  const std::string head = "format = 1\nid = \"more\"\ntitle = \"t\"\nversion = 1\n\n[[procedure]]\nid = \"p\"\ntitle = \"p\"\nsource = \"practice\"\nversion = 1\n";
  for (const auto& [text, reason] : {std::pair<std::string, std::string>{"", "steps"}, {"steps = [\"a\"]\nact = [\"replacd\"]\n", "replaced"}, {"steps = [\"a\"]\nclas = [\"logic\"]\n", "class"}}) {
    CAPTURE(text);
    PackFolder folder("procedures");
    folder.add("zz.toml", head + text);
    const auto loaded = folder.load();
    REQUIRE_FALSE(loaded.ok());
    CHECK(loaded.error().text().find("zz.toml:") != std::string::npos);
    CHECK_MESSAGE(loaded.error().text().find(reason) != std::string::npos, loaded.error().text());
  }
}

TEST_CASE("the part is named in the steps") { CHECK(about("Take {part} out; {part} in.", "U7") == "Take U7 out; U7 in."); }
