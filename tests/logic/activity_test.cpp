#include "logic/activity.h"

#include <doctest/doctest.h>

#include <map>
#include <set>

#include "base/random.h"
#include "board/amendment.h"
#include "board/spec.h"
#include "logic/health.h"

using namespace halfsplit;
using logic::Look;
using logic::Overlay;

namespace {

std::shared_ptr<const parts::Library> library() {
  static const auto made = parts::Library::open(std::string(HALFSPLIT_SOURCE_DIR) + "/shared/parts").value();
  return made;
}
std::shared_ptr<const board::Machine> machine(const std::string& name, const std::vector<std::string>& amendments = {}) {
  auto spec = board::load_spec(std::string(HALFSPLIT_SOURCE_DIR) + "/boards/" + name).value();
  std::vector<board::Amendment> lines;
  for (const auto& line : amendments) lines.push_back(board::parse_amendment(line).value());
  return board::build(board::amend(std::move(spec), lines, *library()).value(), library()).value();
}
bool acts(const fault::Fault& f) {
  return f.site.kind != fault::Site::Kind::outside && f.effect != parts::Effect::none;
}
std::vector<Look> all_looks(const board::Machine& m, const logic::Network& n) {
  std::vector<Look> looks;
  for (std::uint32_t i = 0; i < m.nets().size(); ++i) looks.push_back({Look::Kind::net, i, 0});
  for (std::uint32_t i = 0; i < m.pins().size(); i += 3)
    if (m.pins()[i].net.known()) {
      looks.push_back({Look::Kind::leg, i, 0});
      looks.push_back({Look::Kind::stored, i, 0});
      looks.push_back({Look::Kind::content, i, i % static_cast<std::uint32_t>(n.cycles.size())});
    }
  for (std::uint32_t i = 0; i < m.functions().size(); ++i) looks.push_back({Look::Kind::function, i, 0});
  return looks;
}
std::uint8_t seen(const logic::Activity& activity, const Overlay& overlay, const Look& look) {
  std::uint8_t answer = 0;
  activity.look({overlay}, {look}, &answer);
  return answer;
}
std::uint32_t pin(const board::Machine& m, const std::string& name) { return m.find_pin(name).value().index(); }
fault::Fault part_fault(const board::Machine& m, const std::string& ref, parts::Effect effect, const std::string& at = {}) {
  fault::Fault f;
  f.site.part = m.find_part(ref).value();
  f.effect = effect;
  if (!at.empty()) f.pin = m.find_pin(at).value();
  return f;
}

}  // namespace

TEST_CASE("packed and unpacked and cold runs agree to the byte on singles and seeded pairs") {
  for (const char* name : {"osprill-primer", "osprill-home-8"}) {
    const auto m = machine(name);
    const auto activity = logic::Activity::build(*m);
    const auto catalogue = fault::Catalogue::build(*m);
    Random random(11);
    std::vector<Overlay> overlays{Overlay{}};
    for (std::size_t i = 0; i < catalogue.size(); ++i)
      if (acts(catalogue.faults()[i])) overlays.push_back({nullptr, {&catalogue.faults()[i]}, {}});
    for (int i = 0; i < 150; ++i) {
      const auto &a = catalogue.faults()[random.below(catalogue.size())], &b = catalogue.faults()[random.below(catalogue.size())];
      if (acts(a) && acts(b)) overlays.push_back({nullptr, {&a, &b}, {}});
    }
    const auto looks = all_looks(*m, activity->network());
    std::vector<std::uint8_t> packed(overlays.size() * looks.size()), unpacked(packed.size()), cold(packed.size());
    activity->look(overlays, looks, packed.data());
    activity->look_unpacked(overlays, looks, unpacked.data(), logic::Start::healthy);
    activity->look_unpacked(overlays, looks, cold.data(), logic::Start::cold);
    CHECK(packed == unpacked);
    CHECK(unpacked == cold);
    std::set<std::string> distinct;
    for (std::size_t h = 0; h < overlays.size(); ++h) distinct.insert(std::string(reinterpret_cast<const char*>(&packed[h * looks.size()]), looks.size()));
    CHECK(distinct.size() > overlays.size() / 4);
  }
}

TEST_CASE("flags that start bad do not start the board even where they may turn good") {
  for (const char* name : {"osprill-primer", "osprill-home-8"}) {
    INFO(name);
    const auto m = machine(name);
    const auto activity = logic::Activity::build(*m);
    std::vector<Look> looks;
    for (std::uint32_t i = 0; i < m->functions().size(); ++i)
      if (!m->functions()[i].held) looks.push_back({Look::Kind::function, i, 0});
    std::vector<std::uint8_t> good(looks.size()), bad(looks.size());
    activity->look_unpacked({Overlay{}}, looks, good.data(), logic::Start::cold);
    activity->look_unpacked({Overlay{}}, looks, bad.data(), logic::Start::bad_flags);
    std::size_t still_right = 0;  // what hangs on no clock, register or memory has no flag that could start bad
    for (std::size_t k = 0; k < looks.size(); ++k) {
      const auto& function = m->functions()[looks[k].id];
      INFO(function.title);
      CHECK(good[k] == logic::kRight);
      if (function.kind == "runs" || function.kind == "rom-starts") CHECK((bad[k] & logic::kRight) == 0);
      still_right += bad[k] & logic::kRight ? 1 : 0;
    }
    CHECK(still_right * 4 < looks.size());
  }
}

TEST_CASE("one value for a whole bus cycle fails the health check") {
  for (const char* name : {"osprill-primer", "osprill-home-8"}) {
    INFO(name);
    const auto m = machine(name);
    std::set<std::string> kinds;
    for (const auto& finding : logic::health(*logic::Activity::build(*m, logic::Slots::one_value)))
      if (finding.grade == board::Finding::Grade::error) kinds.insert(finding.kind);
    CHECK(kinds.count("undriven-sample") == 1);
    CHECK((kinds.count("fight") == 1) == (std::string(name) == "osprill-home-8"));  // two who take turns in halves of one cycle
  }
}

TEST_CASE("the machines of our scenario are sound by the absolute rules") {
  for (const char* name : {"osprill-primer", "osprill-home-8"}) {
    const auto m = machine(name);
    for (const auto& finding : logic::health(*logic::Activity::build(*m))) {
      INFO(name, ": ", finding.kind, ": ", finding.message);
      CHECK(finding.grade == board::Finding::Grade::note);
    }
  }
}

TEST_CASE("bus cycles come out of the decode with one answer each") {
  const auto m = machine("osprill-home-8");
  const auto activity = logic::Activity::build(*m);
  std::set<std::string> names;
  for (const auto& cycle : activity->network().cycles) {
    names.insert(cycle.name);
    CHECK(cycle.responders <= 1);
  }
  for (const char* wanted : {"fetch U5", "fetch U6", "read U4", "in U27", "out U25", "refresh", "display"}) CHECK(names.count(wanted) == 1);
}

TEST_CASE("memories that no transfer selects are told") {
  const auto m = machine("osprill-primer", {"net U4.4 = +5V"});
  const auto findings = logic::health(*logic::Activity::build(*m));
  bool never = false;
  for (const auto& f : findings) never = never || (f.kind == "never-selected" && f.message.find("U2") != std::string::npos);
  CHECK(never);
}

TEST_CASE("two memories at one place are told as a fight") {
  const auto m = machine("osprill-primer", {"net U3.18 = /ROM"});
  bool fight = false;
  for (const auto& f : logic::health(*logic::Activity::build(*m))) fight = fight || f.kind == "fight";
  CHECK(fight);
}

TEST_CASE("a floating input is told with its name") {
  const auto m = machine("osprill-home-8", {"lift U18.1"});
  bool told = false;
  for (const auto& f : logic::health(*logic::Activity::build(*m))) told = told || (f.kind == "floating-input" && f.message.find("U18.1") != std::string::npos);
  CHECK(told);
}

TEST_CASE("a dead bit and a stuck address line and a dead ROM and a dead multiplexer show differently") {
  const auto m = machine("osprill-home-8");
  const auto activity = logic::Activity::build(*m);
  const fault::Fault bit = part_fault(*m, "U12", parts::Effect::cell_stuck, "U12.14"), address = part_fault(*m, "U3", parts::Effect::stuck_low, "U3.35"),
                     rom = part_fault(*m, "U5", parts::Effect::dead), mux = part_fault(*m, "U17", parts::Effect::dead);
  std::vector<Look> looks;
  for (std::uint32_t i = 0; i < m->nets().size(); ++i) {
    looks.push_back({Look::Kind::net, i, 0});
    looks.push_back({Look::Kind::stored_net, i, 0});
  }
  std::set<std::vector<std::uint8_t>> shown;
  for (const auto* f : {&bit, &address, &rom, &mux}) {
    std::vector<std::uint8_t> answers(looks.size());
    activity->look({Overlay{nullptr, {f}, {}}}, looks, answers.data());
    shown.insert(answers);
  }
  CHECK(shown.size() == 4);
  const std::uint32_t good = pin(*m, "U11.14"), bad = pin(*m, "U12.14");
  CHECK(seen(*activity, {nullptr, {&bit}, {}}, {Look::Kind::stored, good, 0}) == logic::kRight);
  CHECK(seen(*activity, {nullptr, {&bit}, {}}, {Look::Kind::stored, bad, 0}) == logic::kWrong);
}

TEST_CASE("stuck outputs and open joints and lost rails show where a probe would see them") {
  const auto m = machine("osprill-home-8");
  const auto activity = logic::Activity::build(*m);
  const auto stuck = part_fault(*m, "U4", parts::Effect::stuck_low, "U4.2");
  CHECK(seen(*activity, {nullptr, {&stuck}, {}}, {Look::Kind::leg, pin(*m, "U3.14"), 0}) == logic::kLow);
  fault::Fault joint;
  joint.site.kind = fault::Site::Kind::joint;
  joint.site.part = m->find_part("U5").value();
  joint.site.pin = m->find_pin("U5.20").value();
  joint.effect = parts::Effect::open;
  CHECK(seen(*activity, {nullptr, {&joint}, {}}, {Look::Kind::leg, pin(*m, "U5.20"), 0}) == logic::kFloating);
  CHECK(seen(*activity, {nullptr, {&joint}, {}}, {Look::Kind::leg, pin(*m, "U21.15"), 0}) == logic::kPulsing);
  const auto regulator = part_fault(*m, "U30", parts::Effect::no_drive);
  const auto& runs = m->find_function("runs").value();
  CHECK(seen(*activity, {nullptr, {&regulator}, {}}, {Look::Kind::function, runs.index(), 0}) == logic::kDead);
  CHECK(seen(*activity, {nullptr, {}, {}}, {Look::Kind::function, runs.index(), 0}) == logic::kRight);
}

TEST_CASE("a chip pulled is an overlay like a fault") {
  const auto m = machine("osprill-home-8");
  const auto activity = logic::Activity::build(*m);
  board::Action pull;
  pull.kind = board::Action::Kind::pull;
  pull.part = m->find_part("U5").value();
  const board::Setup out({pull});
  const auto stuck = part_fault(*m, "U5", parts::Effect::stuck_low, "U5.11");
  CHECK(seen(*activity, {nullptr, {&stuck}, {}}, {Look::Kind::leg, pin(*m, "U3.14"), 0}) == logic::kLow);
  CHECK(seen(*activity, {&out, {&stuck}, {}}, {Look::Kind::leg, pin(*m, "U3.14"), 0}) != logic::kLow);
}

TEST_CASE("with the processor held in reset nothing on its bus moves while the clock does") {
  const auto m = machine("osprill-home-8");
  const auto activity = logic::Activity::build(*m);
  board::Action low;
  low.kind = board::Action::Kind::force_low;
  low.pin = m->find_pin("U3.26").value();
  const board::Setup held({low});
  for (const std::string leg : {"U3.30", "U3.19", "U3.21", "U5.20", "U5.11", "U4.2"}) {
    INFO("leg ", leg);
    CHECK((seen(*activity, {&held, {}, {}}, {Look::Kind::leg, pin(*m, leg), 0}) & logic::kPulsing) == 0);
  }
  CHECK(seen(*activity, {&held, {}, {}}, {Look::Kind::leg, pin(*m, "U3.19"), 0}) == logic::kHigh);
  CHECK(seen(*activity, {&held, {}, {}}, {Look::Kind::leg, pin(*m, "U3.6"), 0}) == logic::kPulsing);
}
