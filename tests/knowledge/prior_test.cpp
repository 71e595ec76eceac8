#include "support.h"

#include <algorithm>
#include <cmath>

#include "fault/bench_block.h"
#include "knowledge/prior.h"

using namespace halfsplit;
using namespace halfsplit::knowledge;
using fault::Catalogue;
using fault::Fault;
using fault::FaultId;
using fault::Site;

namespace {

struct Bench {
  std::shared_ptr<const board::Machine> machine;
  Catalogue catalogue;
  fault::PriorOdds priors;

  explicit Bench(const Circumstances& circumstances = {}, const board::MachineSpec& spec = bench_block::spec())
      : machine(bench_block::machine(spec)), catalogue(Catalogue::build(*machine)) {
    auto made = prior_odds(*shipped(), catalogue, *machine, circumstances);
    REQUIRE(made.ok());
    priors = std::move(made).value();
  }
  board::PartId part(const char* ref) const { return machine->find_part(ref).value(); }
  template <class Wanted>
  double sum(Wanted wanted) const {
    double total = 0;
    for (std::size_t i = 0; i < catalogue.size(); ++i)
      if (std::isfinite(priors.log_odds[i]) && wanted(catalogue.faults()[i])) total += std::exp(priors.log_odds[i]);
    return total;
  }
  double of_part(const char* ref, const std::string& mode = {}) const {
    const board::PartId id = part(ref);
    return sum([&](const Fault& fault) {
      return fault.site.part == id && (fault.site.kind == Site::Kind::part || fault.site.kind == Site::Kind::contact) && (mode.empty() || fault.mode == mode);
    });
  }
  double joints(const char* ref) const {
    const board::PartId id = part(ref);
    return sum([&](const Fault& fault) { return fault.site.part == id && fault.site.kind == Site::Kind::joint; });
  }
  double drawing() const {
    return sum([](const Fault& fault) { return fault.site.kind == Site::Kind::drawing; });
  }
};

Circumstances with_profile(const char* profile) {
  Circumstances out;
  out.profile = profile;
  return out;
}

}  // namespace

TEST_CASE("the faults of a machine on the bench add up to the profile's figure") {
  for (const char* name : {"aged", "recent-build"}) {
    const Bench bench(with_profile(name));
    const double inside = bench.sum([](const Fault& fault) { return fault.site.kind != Site::Kind::drawing; });
    CHECK(inside + std::exp(bench.priors.log_outside) == doctest::Approx(shipped()->profile(name).value()->faults));
    CHECK(bench.priors.log_odds.size() == bench.catalogue.size());
  }
  CHECK(prior_odds(*shipped(), Bench().catalogue, *bench_block::machine(), with_profile("antique")).error().code == ErrorCode::not_found);
}

TEST_CASE("every fault is possible but the one outside the model which has odds of its own") {
  const Bench bench;
  for (std::size_t i = 0; i < bench.catalogue.size(); ++i)
    CHECK(std::isfinite(bench.priors.log_odds[i]) == (bench.catalogue.faults()[i].site.kind != Site::Kind::outside));
}

TEST_CASE("parts of two classes stand as their rates do") {
  const Bench bench;
  const Profile& aged = *shipped()->profile("aged").value();
  // A regulator has all its modes on any board; its unlisted mode is a tenth.
  CHECK(bench.of_part("VR1", "unlisted") / bench.of_part("VR1") == doctest::Approx(0.1));
  const double regulator = shipped()->rate("regulator", "", aged).faults, resistor = shipped()->rate("resistor", "", aged).faults;
  CHECK(bench.of_part("VR1") / bench.of_part("R1") == doctest::Approx(regulator / resistor));
}

TEST_CASE("a mode's share is spread over its pins and unused pins keep theirs") {
  const Bench bench;
  const double one_of_four = bench.of_part("U10", "output-stuck-low"), two_of_eight = bench.of_part("U1", "output-stuck-low");
  const Knowledge& knowledge = *shipped();
  const double factors = knowledge.group_factor("logic", "gate or inverter") / knowledge.group_factor("logic", "buffer or driver");
  CHECK(one_of_four / two_of_eight == doctest::Approx(factors).epsilon(1e-6));
  CHECK(bench.of_part("U10", "output-stuck-low") / bench.of_part("U10", "output-stuck-high") == doctest::Approx(0.283 / 0.047).epsilon(1e-3));
}

TEST_CASE("a tantalum on twelve volts is six times as likely to go as one on five") {
  const Bench bench;
  CHECK(bench.of_part("C2") / bench.of_part("C3") == doctest::Approx(6));
}

TEST_CASE("a socket adds contacts and a connector strains its joints") {
  board::MachineSpec soldered = bench_block::spec();
  for (board::PartSpec& part : soldered.units[0].parts) part.socketed = false;
  const Bench socketed, plain({}, soldered);
  const double ratio = socketed.joints("U3") / socketed.joints("U2"), without = plain.joints("U3") / plain.joints("U2");
  CHECK(ratio > 2 * without);
  CHECK(plain.joints("main/J1") / 3 > 2 * plain.joints("U1") / 8);  // its copper is no worse, its solder ten times
}

TEST_CASE("of two mated connectors the plug between them has the contacts") {
  const Bench bench;
  const double plug = bench.of_part("main/J1~kbd/J1"), connector = bench.of_part("main/J1");
  CHECK(plug > 5 * connector);
  board::MachineSpec apart = bench_block::spec();
  apart.mates.clear();
  const Bench unplugged({}, apart);
  CHECK(unplugged.of_part("main/J1") / unplugged.of_part("R1") == doctest::Approx(3 * 0.0884 / 0.0487).epsilon(0.02));
}

TEST_CASE("earlier work and leaks raise what they touch") {
  Circumstances touched;
  const Bench before;
  touched.worked_on = {before.part("U10")};
  const Bench after(touched);
  CHECK(after.joints("U10") / after.joints("U2") == doctest::Approx(10 * before.joints("U10") / before.joints("U2")));
  CHECK(after.of_part("U10") / after.of_part("U2") == doctest::Approx(2 * before.of_part("U10") / before.of_part("U2")));
  Circumstances known;
  known.earlier_work = Circumstances::EarlierWork::known;
  CHECK(Bench(known).joints("U2") > before.joints("U2"));
  CHECK(Bench(known).priors.log_outside > before.priors.log_outside);
  Circumstances leak;
  leak.in_leak = {before.part("U2")};
  const Bench leaking(leak);
  CHECK(leaking.joints("U2") / leaking.joints("U1") == doctest::Approx(20 * before.joints("U2") / before.joints("U1")));
}

TEST_CASE("a drawing is doubted where its questions are open and where roles are guessed") {
  board::MachineSpec open = bench_block::spec();
  open.questions.push_back({"q", "Is the link closed?", {{"no", {}}, {"yes", {}}}, {}});
  const Bench confirmed, unconfirmed({}, open);
  CHECK(unconfirmed.drawing() == doctest::Approx(5 * confirmed.drawing()));
  Circumstances told;
  told.drawing_confirmed = true;
  CHECK(Bench(told, open).drawing() == doctest::Approx(confirmed.drawing()));
  CHECK(confirmed.drawing() < 0.01);
}

TEST_CASE("the set-up keeps its share whatever the size of the machine") {
  const Bench bench;
  const double set_up = bench.of_part("tv");
  CHECK(set_up == doctest::Approx(0.0497).epsilon(0.01));
  board::MachineSpec bare = bench_block::spec();
  bare.surroundings.pop_back();
  const Bench without({}, bare);
  CHECK(std::exp(without.priors.log_outside) == doctest::Approx(std::exp(bench.priors.log_outside) + set_up));
}

TEST_CASE("classes without a rate of their own are listed with what stands in") {
  board::MachineSpec spec = bench_block::spec();
  const auto missing = missing_rates(*shipped(), *bench_block::machine(spec));
  CHECK(missing.empty());
  spec.units[0].parts[0].family = "NMOS";
  const auto machine = bench_block::machine(spec);
  const auto found = missing_rates(*shipped(), *machine);
  REQUIRE(found.size() == 1);
  CHECK(found[0].rate_class == "logic");
  CHECK(found[0].from_class == "logic");
  CHECK(found[0].from_technology.empty());
  REQUIRE(found[0].parts.size() == 1);
  CHECK(machine->part(found[0].parts[0]).ref == "U1");
}

TEST_CASE("the population of a machine says what its priors say and what was learned moves them") {
  const Bench bench;
  const auto population = population_of(*shipped(), bench.catalogue, *bench.machine, "aged");
  REQUIRE(population.ok());
  double expected = 0;
  for (const Exposure& part : population->parts) expected += static_cast<double>(part.expected) / kOne;
  const double all = bench.sum([](const Fault& fault) { return fault.site.kind != Site::Kind::drawing; }) + std::exp(bench.priors.log_outside);
  CHECK(expected == doctest::Approx(all).epsilon(0.001));

  FaultId blamed(0);
  for (std::size_t i = 0; i < bench.catalogue.size(); ++i)
    if (bench.catalogue.faults()[i].mode == "output-stuck-low") blamed = FaultId(i);
  const Fault& fault = bench.catalogue.fault(blamed);
  Lesson lesson;
  lesson.id = "job";
  lesson.profile = "aged";
  lesson.population = population->id;
  lesson.blames.push_back({strand_of(fault, *bench.machine), fault.mode, kOne});
  Experience experience;
  experience.populations[population->id] = *population;
  experience = learn(std::move(experience), lesson);
  const Beliefs learned = believe(tally_of(experience)["aged"], experience.populations, *shipped(), "aged");
  const auto after = prior_odds(*shipped(), bench.catalogue, *bench.machine, {}, &learned);
  REQUIRE(after.ok());
  CHECK(after->log_odds[blamed.index()] > bench.priors.log_odds[blamed.index()] + 0.1);
  const Beliefs none;
  const auto same = prior_odds(*shipped(), bench.catalogue, *bench.machine, {}, &none);
  CHECK(same->log_odds == bench.priors.log_odds);
}
