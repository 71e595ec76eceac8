#include "trial/episode.h"

#include <doctest/doctest.h>

#include "board/spec.h"
#include "knowledge/knowledge.h"
#include "knowledge/prior.h"
#include "predict/predictor.h"

using namespace halfsplit;

TEST_CASE("a hidden fault on the trainer is found and the same seed tells the same story") {
  const std::string root = HALFSPLIT_SOURCE_DIR;
  const auto library = parts::Library::open(root + "/shared/parts").value();
  const auto machine = board::load_machine(root + "/boards/osprill-primer", library).value();
  const auto known = knowledge::Knowledge::load(root + "/knowledge").value();
  const auto catalogue = fault::Catalogue::build(*machine);
  const auto predictor = predict::make_predictor(*machine, catalogue, known->evidence(), logic::Activity::build(*machine));
  const auto priors = knowledge::prior_odds(*known, catalogue, *machine).value();
  const auto site = catalogue.site_of_part(machine->find_part("U5").value());
  REQUIRE(site);
  std::optional<fault::FaultId> hidden;
  for (const auto id : catalogue.faults_at(*site))
    if (catalogue.fault(id).effect == parts::Effect::stuck_high && catalogue.fault(id).pin == machine->find_pin("U5.3").value()) hidden = id;
  REQUIRE(hidden);
  std::vector<std::string> stories[2];
  trial::EpisodeResult results[2];
  for (int i = 0; i < 2; ++i) {
    trial::World world(*machine, *predictor, fault::Hypothesis(*hidden), {0, 0}, 5);
    trial::EpisodeOptions options;
    options.log = [&, i](const std::string& line) { stories[i].push_back(line); };
    results[i] = trial::run_episode(*predictor, priors, world, site, *hidden, options);
  }
  CHECK(stories[0] == stories[1]);
  REQUIRE(results[0].rank);
  CHECK(*results[0].rank < 3);
  CHECK(results[0].tests <= 12);
  CHECK(results[0].wrong_readings == 0);
}

TEST_CASE("a world falsifies readings at the rate it is told") {
  const std::string root = HALFSPLIT_SOURCE_DIR;
  const auto library = parts::Library::open(root + "/shared/parts").value();
  const auto machine = board::load_machine(root + "/boards/osprill-primer", library).value();
  const auto known = knowledge::Knowledge::load(root + "/knowledge").value();
  const auto catalogue = fault::Catalogue::build(*machine);
  const auto predictor = predict::make_predictor(*machine, catalogue, known->evidence(), logic::Activity::build(*machine));
  trial::World world(*machine, *predictor, fault::Hypothesis(), {0.2, 0}, 3);
  const auto points = predictor->queries({}, {observe::Kind::probe});
  std::size_t asked = 0;
  for (int round = 0; round < 4; ++round)
    for (const auto& q : points) {
      asked += world.answer(q).has_value();
    }
  const double share = static_cast<double>(world.wrong_readings()) / static_cast<double>(asked);
  CHECK(share > 0.08);
  CHECK(share < 0.25);
}
