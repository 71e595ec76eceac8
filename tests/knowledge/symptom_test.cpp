#include "support.h"

#include <algorithm>

#include "fault/bench_block.h"
#include "knowledge/symptom.h"

using namespace halfsplit;
using namespace halfsplit::knowledge;
using observe::Kind;
using observe::Word;

namespace {

const board::Machine& machine() {
  static const auto made = bench_block::machine();
  return *made;
}
std::vector<Heard> hear(const char* text) { return match_symptoms(*shipped(), text, machine()); }

/// "picture dead; sound right (when warm); ?wrong" - what was understood, in short.
std::string told(const char* text) {
  std::string out;
  for (const Heard& heard : hear(text)) {
    if (!out.empty()) out += "; ";
    if (!heard.ask.empty()) out += "?";
    else if (heard.observations.front().point.at == observe::Point::At::machine) out += std::string("machine ") + observe::name_of(heard.observations.front().kind) + " ";
    for (const observe::Observation& it : heard.observations)
      if (it.point.at == observe::Point::At::function) out += machine().function(it.point.function).id + " ";
    out += heard.kind_known ? observe::name_of(*heard.value.word) : "unknown";
    if (!heard.condition.empty()) out += " (" + heard.condition + ")";
  }
  return out;
}

}  // namespace

TEST_CASE("plain words name a function and its state") {
  CHECK(told("black screen") == "picture dead");
  CHECK(told("the screen stays black") == "picture dead");
  CHECK(told("no picture") == "picture dead");
  CHECK(told("picture ok") == "picture right");
  CHECK(told("garbage on the screen") == "picture wrong");
  CHECK(told("picture is dim") == "picture weak");
  CHECK(told("sound distorted") == "sound wrong");
  CHECK(told("no sound at all") == "sound dead");
  CHECK(told("completely dead") == "runs dead");
  CHECK(told("dead") == "runs dead");
  CHECK(told("won't boot") == "runs dead");
  CHECK(told("crashes after ten minutes") == "runs intermittent (after ten minutes)");
  CHECK(told("cassette works") == "cassette right");
  CHECK(told("tape won't load") == "cassette dead");
}

TEST_CASE("what stands beside a phrase decides which function it is") {
  CHECK(told("sound comes and goes") == "sound intermittent");
  CHECK(told("tape flickers") == "cassette intermittent");
  CHECK(told("cassette read errors") == "cassette wrong");  // of the phrase for disks
  CHECK(told("no sound from the tv") == "sound dead");
}

TEST_CASE("negation turns a state round") {
  CHECK(told("sound doesn't work") == "sound bad");
  CHECK(told("sound isn't distorted") == "sound right");
  CHECK(told("picture without noise") == "picture right");
  CHECK(told("never crashes") == "runs right");
}

TEST_CASE("several statements in a line are heard apart") {
  CHECK(told("no picture but sound is fine") == "picture dead; sound right");
  CHECK(told("picture ok, sound weak, cassette dead") == "picture right; sound weak; cassette dead");
  CHECK(told("picture comes and goes and no sound") == "picture intermittent; sound dead");
  CHECK(told("picture works but dim") == "picture weak");
}

TEST_CASE("conditions and shares are kept") {
  CHECK(told("picture dead when warm") == "picture dead (when warm)");
  CHECK(told("no picture after 15 minutes") == "picture dead (after 15 minutes)");
  const auto heard = hear("starts 3 of 10 times");
  REQUIRE(heard.size() == 1);
  CHECK(heard[0].share == observe::Share{3, 10});
}

TEST_CASE("slips of spelling are forgiven") {
  CHECK(told("blak screen") == "picture dead");
  CHECK(told("no pitcure") == "picture dead");
  CHECK(told("sound distorded") == "sound wrong");
  CHECK(told("cassete works") == "cassette right");
  CHECK(told("NO SOUND!!") == "sound dead");
  CHECK(told("keybord dead") == "key-a key-5 dead");
}

TEST_CASE("keys are found by their own names and the keyboard is all of them") {
  CHECK(told("key 5 dead") == "key-5 dead");
  CHECK(told("the a key is stuck") == "?wrong");          // "a" before "key" can be the article
  CHECK(told("key a stuck") == "key-a wrong");
  CHECK(told("keys a 5 dead") == "key-a key-5 dead");
  CHECK(told("keyboard dead") == "key-a key-5 dead");
  CHECK(told("some keys dead") == "?dead");
}

TEST_CASE("no word is refused") {
  for (const char* text : {"the flux is out of joint", "picture frobnicated", "???", "x", "\xF0\x9F\x92\xA9", "no", "it just isn't itself"}) {
    const auto heard = hear(text);
    REQUIRE_MESSAGE(heard.size() >= 1, text);
    CHECK_MESSAGE((!heard[0].observations.empty() || !heard[0].ask.empty()), text);
    CHECK(heard[0].wording.size() > 0);
  }
  const auto strange = hear("picture frobnicated");
  CHECK_FALSE(strange[0].kind_known);
  REQUIRE(strange[0].observations.size() == 1);
  CHECK(strange[0].observations[0].value.word == Word::bad);
  CHECK(strange[0].observations[0].typed == "picture frobnicated");
  CHECK(strange[0].understood == "picture on the display: abnormal, kind unknown");
}

TEST_CASE("a function that was not told is asked for once and then kept with its wording") {
  const auto heard = hear("frobnicated");
  REQUIRE(heard.size() == 1);
  REQUIRE(heard[0].ask.size() == machine().functions().size());
  CHECK(machine().function(heard[0].ask[0]).kind == "runs");
  const observe::Observation answer = about_function(heard[0], heard[0].ask[2]);
  CHECK(answer.kind == Kind::function);
  CHECK(answer.value.word == Word::bad);
  CHECK(answer.typed == "frobnicated");
}

TEST_CASE("smoke and heat are of the machine as a whole") {
  const auto smoke = hear("smoke came out");
  REQUIRE(smoke.size() == 1);
  CHECK(smoke[0].observations[0].kind == Kind::smell);
  CHECK(smoke[0].observations[0].value.word == Word::bad);
  CHECK(told("it overheats") == "machine touch hot");
}

TEST_CASE("every phrase of the packs is understood as it says") {
  for (const Symptom& symptom : shipped()->entries().symptoms)
    for (const std::string& phrase : symptom.phrases) {
      const auto heard = hear(phrase.c_str());
      REQUIRE_MESSAGE(heard.size() == 1, phrase);
      CHECK_MESSAGE(heard[0].symptom == symptom.id, phrase);
      CHECK_MESSAGE(heard[0].value.word == symptom.word, phrase);
    }
}

TEST_CASE("a machine without functions hears about itself") {
  board::MachineSpec spec = bench_block::spec();
  spec.functions.clear();
  const auto bare = bench_block::machine(spec);
  const auto heard = match_symptoms(*shipped(), "no picture", *bare);
  REQUIRE(heard.size() == 1);
  REQUIRE(heard[0].observations.size() == 1);
  CHECK(heard[0].observations[0].point.at == observe::Point::At::machine);
}

TEST_CASE("links are smoothed shares that add up to one") {
  for (const char* symptom : {"dead", "sound-bad", "no such symptom"}) {
    double sum = 0;
    for (const LinkShare& link : links_of(*shipped(), symptom)) sum += link.share;
    CHECK(sum == doctest::Approx(1));
  }
  const auto links = links_of(*shipped(), "sound-bad");
  CHECK(links.front().area == "sound");
  CHECK(links.front().cause == "capacitor");
  CHECK(links.front().share > 10 * links.front().base);
  const auto unknown = links_of(*shipped(), "no such symptom");
  CHECK(unknown.front().share == doctest::Approx(unknown.front().base));
}
