// The proof list: what proves a function, what undoes the proof, and what joins by itself.
#include "app/proving.h"

#include <algorithm>

#include "bench.h"

using namespace halfsplit;
using job::LineKind;

namespace {

report::ProofRow row(const report::Proof& proof, const std::string& name) {
  const auto found = std::find_if(proof.rows.begin(), proof.rows.end(), [&](const report::ProofRow& one) { return one.name == name; });
  REQUIRE_MESSAGE(found != proof.rows.end(), name);
  return *found;
}
std::string standing(bench::Job& job, const std::string& name) { return row(app::prove(job.sitting()), name).standing; }

}  // namespace

TEST_CASE("every function is owed until it is heard to work") {
  bench::Job job("osprill-primer");
  const auto fresh = app::prove(job.sitting());
  CHECK(fresh.rows.size() == job.machine().functions().size());
  CHECK(fresh.proven == 0);
  CHECK(fresh.owed == fresh.rows.size());
  job.say(LineKind::symptom, "lamps work");
  const auto lamps = row(app::prove(job.sitting()), "lamps");
  CHECK(lamps.standing == "proven");
  CHECK(lamps.line == 1);
  CHECK(lamps.epoch == 1);
  CHECK(lamps.when == "2026-11-25T10:00:00Z");
  job.say(LineKind::symptom, "lamps dead");
  CHECK(standing(job, "lamps") == "failing");
}

TEST_CASE("a repair undoes the proof of what it can touch and of nothing else") {
  bench::Job job("osprill-primer");
  job.say(LineKind::symptom, "lamps work");
  job.say(LineKind::symptom, "key S0 works");
  job.say(LineKind::repair, "R2 replaced");
  CHECK(standing(job, "lamps") == "stale");
  CHECK(standing(job, "key-s0") == "proven");
  CHECK(standing(job, "R2") == "owed");
  job.say(LineKind::symptom, "lamps work");
  const auto proof = app::prove(job.sitting());
  CHECK(row(proof, "lamps").standing == "proven");
  CHECK(row(proof, "lamps").epoch == 2);
  CHECK(row(proof, "R2").standing == "proven");
  CHECK(row(proof, "R2").line == 4);
}

TEST_CASE("what was pulled joins the list and stands in the way of what needs it") {
  bench::Job job("osprill-primer");
  job.say(LineKind::state, "power-off U1-out");
  auto proof = app::prove(job.sitting());
  CHECK(row(proof, "U1").standing == "owed");
  CHECK(row(proof, "U1").text.find("fit U1") != std::string::npos);
  CHECK_FALSE(row(proof, "runs").now);
  CHECK(row(proof, "runs").first == "U1-in");
  job.say(LineKind::state, "U1-in power-on");
  job.say(LineKind::symptom, "it runs");
  proof = app::prove(job.sitting());
  CHECK(row(proof, "U1").standing == "proven");
  CHECK(row(proof, "runs").standing == "proven");
  CHECK(row(proof, "lamps").now);
}

TEST_CASE("a trial with the lid off is tried again at the end") {
  bench::Job job("osprill-primer");
  job.say(LineKind::state, "lid-off");
  job.say(LineKind::symptom, "lamps work");
  CHECK(standing(job, "lamps") == "partly");
  CHECK(standing(job, "lid") == "owed");
  job.say(LineKind::state, "lid-on");
  CHECK(standing(job, "lid") == "proven");
  CHECK(standing(job, "lamps") == "partly");
  job.say(LineKind::symptom, "lamps work");
  CHECK(standing(job, "lamps") == "proven");
}

TEST_CASE("a lifted pin is proven by continuity where no function was tried") {
  bench::Job job("osprill-primer");
  job.say(LineKind::state, "power-off U7.2-lifted");
  job.say(LineKind::state, "U7.2-down");
  CHECK(standing(job, "U7.2") == "owed");
  job.say(LineKind::read, "U7.2-R2.1 no-beep");
  CHECK(standing(job, "U7.2") == "owed");
  job.say(LineKind::read, "U7.2-R2.1 beep");
  CHECK(standing(job, "U7.2") == "proven");
}

TEST_CASE("what is set aside or left is not owed") {
  bench::Job job("osprill-primer");
  const std::size_t all = app::prove(job.sitting()).owed;
  job.say(LineKind::want, "lamps no");
  job.say(LineKind::leave, "C2 bulging but holds");
  const auto proof = app::prove(job.sitting());
  CHECK(proof.owed == all - 1);
  CHECK(row(proof, "lamps").standing == "aside");
  CHECK(row(proof, "C2").standing == "stays");
  CHECK(row(proof, "C2").text == "bulging but holds");
}

TEST_CASE("closing as proven says what is owed") {
  bench::Job job("osprill-primer");
  const auto owed = app::still_owed(job.sitting());
  REQUIRE(owed.size() >= 2);
  CHECK(owed.front().find("7 are still owed") != std::string::npos);
}

TEST_CASE("keys wait for their plug") {
  bench::Job job("osprill-home-8");
  job.say(LineKind::state, "power-off J10-unplugged");
  const auto proof = app::prove(job.sitting());
  CHECK_FALSE(row(proof, "key-a").now);
  CHECK(row(proof, "key-a").first == "J10-plugged");
  CHECK(row(proof, "sound").now);
  CHECK(row(proof, "J10").standing == "owed");
}
