#include "parts/electrical.h"

#include <algorithm>
#include <string>

#include "support.h"

using namespace halfsplit;
using namespace halfsplit::parts;

TEST_CASE("the electrical table names what families and drawn chips the library holds") {
  const auto library = Library::open(std::string(HALFSPLIT_SOURCE_DIR) + "/shared/parts");
  REQUIRE(library.ok());
  const ElectricalTable& table = (*library)->electrical();
  for (const StageModel& stage : table.stages) CHECK_MESSAGE((*library)->family(stage.family) != nullptr, stage.family);
  for (const Family& family : (*library)->families()) CHECK_MESSAGE(table.stage(family.id).family == family.id, family.id);
  const auto& ids = (*library)->ids();
  const auto known = [&](const std::vector<std::string>& types) {
    for (const std::string& type : types) CHECK_MESSAGE(std::find(ids.begin(), ids.end(), type) != ids.end(), type);
  };
  for (const DrawModel& each : table.draws) known(each.types);
  for (const RegulatorModel& each : table.regulators) known(each.types);
  for (const AmplifierModel& each : table.amplifiers) known(each.types);
}

TEST_CASE("a printed number finds its own model and others that of their kind") {
  const auto library = Library::open(std::string(HALFSPLIT_SOURCE_DIR) + "/shared/parts");
  REQUIRE(library.ok());
  const ElectricalTable& table = (*library)->electrical();
  CHECK(table.transistor("small", "BC547B TO-92").gain > table.transistor("small", "XYZ").gain);
  CHECK(table.diode("signal", "OA90").saturation_a > table.diode("signal", "1N4148").saturation_a);
  CHECK(table.regulator("78L05").limit_a < table.regulator("7805").limit_a);
  CHECK(table.draw("Z80")->amps > 0.05);
  CHECK(table.draw("7400") == nullptr);
}

TEST_CASE("a wrong electrical value is told with its place") {
  const auto document = parse_document("format = 1\n[[diode]]\nkind = \"led\"\nsaturation_a = -1.0\n", "e.toml");
  REQUIRE(document.ok());
  const auto table = read_electrical(*document);
  REQUIRE_FALSE(table.ok());
  CHECK(table.error().message.find("saturation_a") != std::string::npos);
  CHECK(table.error().place.line > 0);
}
