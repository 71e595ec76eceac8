#include "observe/vocabulary.h"

#include <algorithm>
#include <array>

#include "base/text.h"

namespace halfsplit::observe {
namespace {

struct Row { std::string_view text; Kind kind; Word word; Where where; };
constexpr Where kThing = kLeg | kNet | kPair | kPart;

/// One row a meaning; of rows with one text the first is the usual meaning. Kept together by what is looked at.
constexpr std::array kRows = {
    // Logic probe and screen of the oscilloscope
    Row{"low", Kind::probe, Word::low, kLine},
    Row{"lo", Kind::probe, Word::low, kLine},
    Row{"l", Kind::probe, Word::low, kLine},
    Row{"stuck low", Kind::probe, Word::low, kLine},
    Row{"always low", Kind::probe, Word::low, kLine},
    Row{"held low", Kind::probe, Word::low, kLine},
    Row{"pulled low", Kind::probe, Word::low, kLine},
    Row{"constant low", Kind::probe, Word::low, kLine},
    Row{"high", Kind::probe, Word::high, kLine},
    Row{"hi", Kind::probe, Word::high, kLine},
    Row{"h", Kind::probe, Word::high, kLine},
    Row{"stuck high", Kind::probe, Word::high, kLine},
    Row{"stuck hi", Kind::probe, Word::high, kLine},
    Row{"stuck lo", Kind::probe, Word::low, kLine},
    Row{"always high", Kind::probe, Word::high, kLine},
    Row{"held high", Kind::probe, Word::high, kLine},
    Row{"constant high", Kind::probe, Word::high, kLine},
    Row{"pulsing", Kind::probe, Word::pulsing, kLine},
    Row{"pulses", Kind::probe, Word::pulsing, kLine},
    Row{"pulse", Kind::probe, Word::pulsing, kLine},
    Row{"p", Kind::probe, Word::pulsing, kLine},
    Row{"toggling", Kind::probe, Word::pulsing, kLine},
    Row{"toggles", Kind::probe, Word::pulsing, kLine},
    Row{"wiggling", Kind::probe, Word::pulsing, kLine},
    Row{"wiggles", Kind::probe, Word::pulsing, kLine},
    Row{"clocking", Kind::probe, Word::pulsing, kLine},
    Row{"switching", Kind::probe, Word::pulsing, kLine},
    Row{"active", Kind::probe, Word::pulsing, kLine},
    Row{"activity", Kind::probe, Word::pulsing, kLine},
    Row{"busy", Kind::probe, Word::pulsing, kLine},
    Row{"square wave", Kind::probe, Word::pulsing, kLine},
    Row{"clean square", Kind::probe, Word::pulsing, kLine},
    Row{"floating", Kind::probe, Word::floating, kLine},
    Row{"floats", Kind::probe, Word::floating, kLine},
    Row{"float", Kind::probe, Word::floating, kLine},
    Row{"f", Kind::probe, Word::floating, kLine},
    Row{"z", Kind::probe, Word::floating, kLine},
    Row{"hi z", Kind::probe, Word::floating, kLine},
    Row{"high z", Kind::probe, Word::floating, kLine},
    Row{"high impedance", Kind::probe, Word::floating, kLine},
    Row{"tri state", Kind::probe, Word::floating, kLine},
    Row{"tristate", Kind::probe, Word::floating, kLine},
    Row{"three state", Kind::probe, Word::floating, kLine},
    Row{"tri stated", Kind::probe, Word::floating, kLine},
    Row{"dead pin", Kind::probe, Word::floating, kLine},
    Row{"middle", Kind::probe, Word::middle, kLine},
    Row{"m", Kind::probe, Word::middle, kLine},
    Row{"in the middle", Kind::probe, Word::middle, kLine},
    Row{"half way", Kind::probe, Word::middle, kLine},
    Row{"halfway", Kind::probe, Word::middle, kLine},
    Row{"half level", Kind::probe, Word::middle, kLine},
    Row{"half levels", Kind::probe, Word::middle, kLine},
    Row{"mid level", Kind::probe, Word::middle, kLine},
    Row{"in between", Kind::probe, Word::middle, kLine},
    Row{"between levels", Kind::probe, Word::middle, kLine},
    Row{"weak", Kind::probe, Word::middle, kLine},
    Row{"weak", Kind::function, Word::weak, kFunction},
    // Continuity, ohms
    Row{"beep", Kind::continuity, Word::beep, kPair | kPart},
    Row{"beeps", Kind::continuity, Word::beep, kPair | kPart},
    Row{"buzz", Kind::continuity, Word::beep, kPair | kPart},
    Row{"buzzes", Kind::continuity, Word::beep, kPair | kPart},
    Row{"buzzed", Kind::continuity, Word::beep, kPair | kPart},
    Row{"buzzed out", Kind::continuity, Word::beep, kPair | kPart},
    Row{"continuity", Kind::continuity, Word::beep, kPair | kPart},
    Row{"connected", Kind::continuity, Word::beep, kPair},
    Row{"no beep", Kind::continuity, Word::no_beep, kPair | kPart},
    Row{"nobeep", Kind::continuity, Word::no_beep, kPair | kPart},
    Row{"no buzz", Kind::continuity, Word::no_beep, kPair | kPart},
    Row{"no continuity", Kind::continuity, Word::no_beep, kPair | kPart},
    Row{"not connected", Kind::continuity, Word::no_beep, kPair},
    Row{"silent", Kind::continuity, Word::no_beep, kPair},
    Row{"silent", Kind::function, Word::dead, kFunction},
    Row{"ol", Kind::ohms, Word::overload, kThing},
    Row{"o.l", Kind::ohms, Word::overload, kThing},
    Row{"overload", Kind::ohms, Word::overload, kThing},
    Row{"over range", Kind::ohms, Word::overload, kThing},
    Row{"overrange", Kind::ohms, Word::overload, kThing},
    Row{"infinite", Kind::ohms, Word::overload, kThing},
    Row{"infinity", Kind::ohms, Word::overload, kThing},
    Row{"infinite resistance", Kind::ohms, Word::overload, kThing},
    Row{"open", Kind::ohms, Word::overload, kPair | kPart},
    Row{"open circuit", Kind::ohms, Word::overload, kPair | kPart},
    Row{"nothing the other way", Kind::diode, Word::overload, kThing},
    Row{"nothing other way", Kind::diode, Word::overload, kThing},
    // A bus cycle to look in that never comes
    Row{"no trigger", Kind::triggered, Word::absent, kLine},
    Row{"never triggers", Kind::triggered, Word::absent, kLine},
    Row{"does not trigger", Kind::triggered, Word::absent, kLine},
    Row{"doesn't trigger", Kind::triggered, Word::absent, kLine},
    // Functions of the machine
    Row{"works", Kind::function, Word::right, kFunction},
    Row{"working", Kind::function, Word::right, kFunction},
    Row{"ok", Kind::function, Word::right, kFunction},
    Row{"okay", Kind::function, Word::right, kFunction},
    Row{"fine", Kind::function, Word::right, kFunction},
    Row{"good", Kind::function, Word::right, kFunction},
    Row{"perfect", Kind::function, Word::right, kFunction},
    Row{"right", Kind::function, Word::right, kFunction},
    Row{"correct", Kind::function, Word::right, kFunction},
    Row{"normal", Kind::touch, Word::normal, kPart | kMachine},
    Row{"normal", Kind::function, Word::right, kFunction},
    Row{"dead", Kind::function, Word::dead, kFunction},
    Row{"dead", Kind::probe, Word::floating, kLine},
    Row{"totally dead", Kind::function, Word::dead, kFunction},
    Row{"none", Kind::function, Word::dead, kFunction},
    Row{"nothing", Kind::function, Word::dead, kFunction},
    Row{"nothing at all", Kind::function, Word::dead, kFunction},
    Row{"missing", Kind::function, Word::dead, kFunction},
    Row{"missing", Kind::look, Word::bad, kLeg | kPart},
    Row{"absent", Kind::function, Word::dead, kFunction},
    Row{"no", Kind::function, Word::dead, kFunction},
    Row{"no signal", Kind::function, Word::dead, kFunction},
    Row{"no sound", Kind::function, Word::dead, kFunction},
    Row{"no picture", Kind::function, Word::dead, kFunction},
    Row{"no response", Kind::function, Word::dead, kFunction},
    Row{"does nothing", Kind::function, Word::dead, kFunction},
    Row{"not working", Kind::function, Word::dead, kFunction},
    Row{"doesn't work", Kind::function, Word::dead, kFunction},
    Row{"does not work", Kind::function, Word::dead, kFunction},
    Row{"won't work", Kind::function, Word::dead, kFunction},
    Row{"blank", Kind::function, Word::dead, kFunction},
    Row{"black", Kind::function, Word::dead, kFunction},
    Row{"black", Kind::look, Word::bad, kThing},
    Row{"wrong", Kind::function, Word::wrong, kFunction},
    Row{"bad", Kind::function, Word::wrong, kFunction},
    Row{"abnormal", Kind::function, Word::wrong, kFunction},
    Row{"faulty", Kind::function, Word::wrong, kFunction},
    Row{"distorted", Kind::function, Word::wrong, kFunction},
    Row{"garbled", Kind::function, Word::wrong, kFunction},
    Row{"garbage", Kind::function, Word::wrong, kFunction},
    Row{"corrupt", Kind::function, Word::wrong, kFunction},
    Row{"corrupted", Kind::function, Word::wrong, kFunction},
    Row{"scrambled", Kind::function, Word::wrong, kFunction},
    Row{"rolling", Kind::function, Word::wrong, kFunction},
    Row{"rolls", Kind::function, Word::wrong, kFunction},
    Row{"noisy", Kind::function, Word::wrong, kFunction},
    Row{"hums", Kind::function, Word::wrong, kFunction},
    Row{"humming", Kind::function, Word::wrong, kFunction},
    Row{"repeats", Kind::function, Word::wrong, kFunction},
    Row{"repeating", Kind::function, Word::wrong, kFunction},
    Row{"stuck", Kind::function, Word::wrong, kFunction},
    Row{"crashes", Kind::function, Word::wrong, kFunction},
    Row{"hangs", Kind::function, Word::wrong, kFunction},
    Row{"resets", Kind::function, Word::wrong, kFunction},
    Row{"slow", Kind::function, Word::wrong, kFunction},
    Row{"fast", Kind::function, Word::wrong, kFunction},
    Row{"too slow", Kind::function, Word::wrong, kFunction},
    Row{"too fast", Kind::function, Word::wrong, kFunction},
    Row{"faint", Kind::function, Word::weak, kFunction},
    Row{"dim", Kind::function, Word::weak, kFunction},
    Row{"dark", Kind::function, Word::weak, kFunction},
    Row{"quiet", Kind::function, Word::weak, kFunction},
    Row{"too quiet", Kind::function, Word::weak, kFunction},
    Row{"pale", Kind::function, Word::weak, kFunction},
    Row{"comes and goes", Kind::function, Word::intermittent, kFunction},
    Row{"on and off", Kind::function, Word::intermittent, kFunction},
    Row{"off and on", Kind::function, Word::intermittent, kFunction},
    Row{"intermittent", Kind::function, Word::intermittent, kFunction},
    Row{"intermittently", Kind::function, Word::intermittent, kFunction},
    Row{"sometimes", Kind::function, Word::intermittent, kFunction},
    Row{"works sometimes", Kind::function, Word::intermittent, kFunction},
    Row{"sometimes works", Kind::function, Word::intermittent, kFunction},
    Row{"only works sometimes", Kind::function, Word::intermittent, kFunction},
    Row{"works now and then", Kind::function, Word::intermittent, kFunction},
    Row{"now and then", Kind::function, Word::intermittent, kFunction},
    Row{"cuts out", Kind::function, Word::intermittent, kFunction},
    Row{"flickers", Kind::function, Word::intermittent, kFunction},
    Row{"flickering", Kind::function, Word::intermittent, kFunction},
    // Touch
    Row{"cold", Kind::touch, Word::cold, kPart | kMachine},
    Row{"stone cold", Kind::touch, Word::cold, kPart | kMachine},
    Row{"ice cold", Kind::touch, Word::cold, kPart | kMachine},
    Row{"cool", Kind::touch, Word::cold, kPart | kMachine},
    Row{"room temperature", Kind::touch, Word::cold, kPart | kMachine},
    Row{"hand warm", Kind::touch, Word::normal, kPart | kMachine},
    Row{"barely warm", Kind::touch, Word::normal, kPart | kMachine},
    Row{"not hot", Kind::touch, Word::normal, kPart | kMachine},
    Row{"warm", Kind::touch, Word::warm, kPart | kMachine},
    Row{"luke warm", Kind::touch, Word::warm, kPart | kMachine},
    Row{"lukewarm", Kind::touch, Word::warm, kPart | kMachine},
    Row{"all warm", Kind::touch, Word::warm, kPart | kMachine},
    Row{"very warm", Kind::touch, Word::warm, kPart | kMachine},
    Row{"quite warm", Kind::touch, Word::warm, kPart | kMachine},
    Row{"hot", Kind::touch, Word::hot, kPart | kMachine},
    Row{"too hot", Kind::touch, Word::hot, kPart | kMachine},
    Row{"very hot", Kind::touch, Word::hot, kPart | kMachine},
    Row{"all hot", Kind::touch, Word::hot, kPart | kMachine},
    Row{"too hot to touch", Kind::touch, Word::hot, kPart | kMachine},
    Row{"burning hot", Kind::touch, Word::hot, kPart | kMachine},
    Row{"scorching", Kind::touch, Word::hot, kPart | kMachine},
    Row{"overheating", Kind::touch, Word::hot, kPart | kMachine},
    // Looking
    Row{"bulging", Kind::look, Word::bad, kThing},
    Row{"bulged", Kind::look, Word::bad, kThing},
    Row{"swollen", Kind::look, Word::bad, kThing},
    Row{"domed", Kind::look, Word::bad, kThing},
    Row{"corroded", Kind::look, Word::bad, kThing},
    Row{"corrosion", Kind::look, Word::bad, kThing},
    Row{"oxidised", Kind::look, Word::bad, kThing},
    Row{"oxidized", Kind::look, Word::bad, kThing},
    Row{"tarnished", Kind::look, Word::bad, kThing},
    Row{"rusty", Kind::look, Word::bad, kThing},
    Row{"green", Kind::look, Word::bad, kThing},
    Row{"crusty", Kind::look, Word::bad, kThing},
    Row{"furry", Kind::look, Word::bad, kThing},
    Row{"black legs", Kind::look, Word::bad, kThing},
    Row{"leaking", Kind::look, Word::bad, kThing},
    Row{"leaked", Kind::look, Word::bad, kThing},
    Row{"leaky", Kind::look, Word::bad, kThing},
    Row{"wet", Kind::look, Word::bad, kThing},
    Row{"burnt", Kind::look, Word::bad, kThing},
    Row{"burned", Kind::look, Word::bad, kThing},
    Row{"charred", Kind::look, Word::bad, kThing},
    Row{"scorched", Kind::look, Word::bad, kThing},
    Row{"discoloured", Kind::look, Word::bad, kThing},
    Row{"discolored", Kind::look, Word::bad, kThing},
    Row{"melted", Kind::look, Word::bad, kThing},
    Row{"burst", Kind::look, Word::bad, kThing},
    Row{"exploded", Kind::look, Word::bad, kThing},
    Row{"blown", Kind::look, Word::bad, kThing},
    Row{"chunk missing", Kind::look, Word::bad, kThing},
    Row{"cracked", Kind::look, Word::bad, kThing},
    Row{"crack", Kind::look, Word::bad, kThing},
    Row{"chipped", Kind::look, Word::bad, kThing},
    Row{"broken", Kind::look, Word::bad, kThing},
    Row{"broken off", Kind::look, Word::bad, kThing},
    Row{"snapped", Kind::look, Word::bad, kThing},
    Row{"bent", Kind::look, Word::bad, kThing},
    Row{"bent under", Kind::look, Word::bad, kThing},
    Row{"torn", Kind::look, Word::bad, kThing},
    Row{"cut", Kind::look, Word::bad, kThing},
    Row{"scratched", Kind::look, Word::bad, kThing},
    Row{"lifted", Kind::look, Word::bad, kThing},
    Row{"loose", Kind::look, Word::bad, kThing},
    Row{"dirty", Kind::look, Word::bad, kThing},
    Row{"worn", Kind::look, Word::bad, kThing},
    Row{"perished", Kind::look, Word::bad, kThing},
    Row{"frayed", Kind::look, Word::bad, kThing},
    Row{"dull", Kind::look, Word::bad, kThing},
    Row{"dry joint", Kind::look, Word::bad, kThing},
    Row{"cold joint", Kind::look, Word::bad, kThing},
    Row{"bad joint", Kind::look, Word::bad, kThing},
    Row{"cracked joint", Kind::look, Word::bad, kThing},
    Row{"not soldered", Kind::look, Word::bad, kThing},
    Row{"unsoldered", Kind::look, Word::bad, kThing},
    Row{"solder bridge", Kind::look, Word::bad, kThing},
    Row{"bridged", Kind::look, Word::bad, kThing},
    Row{"reversed", Kind::look, Word::bad, kThing},
    Row{"backwards", Kind::look, Word::bad, kThing},
    Row{"wrong part", Kind::look, Word::bad, kThing},
    Row{"bodged", Kind::look, Word::bad, kThing},
    Row{"damaged", Kind::look, Word::bad, kThing},
    Row{"pristine", Kind::look, Word::good, kThing},
    Row{"clean", Kind::look, Word::good, kThing},
    Row{"intact", Kind::look, Word::good, kThing},
    Row{"undamaged", Kind::look, Word::good, kThing},
    Row{"no damage", Kind::look, Word::good, kThing},
    Row{"shiny", Kind::look, Word::good, kThing},
    Row{"like new", Kind::look, Word::good, kThing},
    // Smell
    Row{"smoke", Kind::smell, Word::bad, kPart | kMachine},
    Row{"smokes", Kind::smell, Word::bad, kPart | kMachine},
    Row{"smoking", Kind::smell, Word::bad, kPart | kMachine},
    Row{"went pop", Kind::smell, Word::bad, kPart | kMachine},
    Row{"smell", Kind::smell, Word::bad, kPart | kMachine},
    Row{"smells", Kind::smell, Word::bad, kPart | kMachine},
    Row{"burnt smell", Kind::smell, Word::bad, kPart | kMachine},
    Row{"burning smell", Kind::smell, Word::bad, kPart | kMachine},
    Row{"smell of burning", Kind::smell, Word::bad, kPart | kMachine},
    Row{"fishy", Kind::smell, Word::bad, kPart | kMachine},
    Row{"fishy smell", Kind::smell, Word::bad, kPart | kMachine},
    Row{"no smell", Kind::smell, Word::good, kPart | kMachine},
    // Tester, dump, piggyback, content
    Row{"passed", Kind::part_test, Word::good, kPart},
    Row{"passes", Kind::part_test, Word::good, kPart},
    Row{"pass", Kind::part_test, Word::good, kPart},
    Row{"failed", Kind::part_test, Word::bad, kPart},
    Row{"fails", Kind::part_test, Word::bad, kPart},
    Row{"fail", Kind::part_test, Word::bad, kPart},
    Row{"bad addr", Kind::part_test, Word::bad, kPart},
    Row{"bad address", Kind::part_test, Word::bad, kPart},
    Row{"match", Kind::dump, Word::right, kPart},
    Row{"matches", Kind::dump, Word::right, kPart},
    Row{"no match", Kind::dump, Word::wrong, kPart},
    Row{"no change", Kind::piggyback, Word::good, kPart},
    Row{"right data", Kind::content, Word::right, kAnywhere},
    Row{"wrong data", Kind::content, Word::wrong, kAnywhere},
};

struct OpeningRow { std::string_view text; Kind kind; };
constexpr std::array kOpenings = {
    OpeningRow{"looks", Kind::look},        OpeningRow{"look", Kind::look},           OpeningRow{"looks like", Kind::look},   OpeningRow{"feels", Kind::touch},
    OpeningRow{"smells", Kind::smell},      OpeningRow{"smells of", Kind::smell},     OpeningRow{"tested", Kind::part_test},  OpeningRow{"tests", Kind::part_test},
    OpeningRow{"tester", Kind::part_test},  OpeningRow{"tester says", Kind::part_test}, OpeningRow{"programmer", Kind::part_test}, OpeningRow{"dump", Kind::dump},
    OpeningRow{"checksum", Kind::dump},     OpeningRow{"crc", Kind::dump},            OpeningRow{"piggyback", Kind::piggyback}, OpeningRow{"piggybacked", Kind::piggyback},
    OpeningRow{"piggy backed", Kind::piggyback}, OpeningRow{"data", Kind::content},  OpeningRow{"content", Kind::content},   OpeningRow{"contents", Kind::content}};

struct VerdictRow { std::string_view text; bool good; };
constexpr std::array kVerdicts = {
    VerdictRow{"good", true},       VerdictRow{"ok", true},        VerdictRow{"okay", true},     VerdictRow{"fine", true},     VerdictRow{"right", true},
    VerdictRow{"correct", true},    VerdictRow{"normal", true},    VerdictRow{"clean", true},    VerdictRow{"new", true},      VerdictRow{"passed", true},
    VerdictRow{"passes", true},     VerdictRow{"pass", true},      VerdictRow{"match", true},    VerdictRow{"matches", true},  VerdictRow{"same", true},
    VerdictRow{"no change", true},  VerdictRow{"the same", true},  VerdictRow{"bad", false},     VerdictRow{"wrong", false},   VerdictRow{"failed", false},
    VerdictRow{"fails", false},     VerdictRow{"fail", false},     VerdictRow{"faulty", false},  VerdictRow{"mismatch", false}, VerdictRow{"no match", false},
    VerdictRow{"not good", false},  VerdictRow{"not ok", false},   VerdictRow{"differs", false}, VerdictRow{"different", false}, VerdictRow{"change", false},
    VerdictRow{"changes", false},   VerdictRow{"changed", false},  VerdictRow{"fixes", false},   VerdictRow{"fixed", false},   VerdictRow{"cures", false},
    VerdictRow{"burnt", false},    VerdictRow{"burning", false}, VerdictRow{"fish", false},    VerdictRow{"fishy", false}};

/// Number of tokens of `typed` from i that spell `phrase`, 0 when they don't.
std::size_t spelled(const Typed& typed, std::size_t i, std::string_view phrase) {
  std::size_t used = 0;
  std::string_view rest = phrase;
  while (!rest.empty()) {
    const Token* token = typed.at(i + used);
    if (token == nullptr || token->kind != Token::Kind::word || !starts_with(rest, token->low)) return 0;
    rest.remove_prefix(token->low.size());
    if (!rest.empty() && rest.front() != ' ') return 0;
    if (!rest.empty()) rest.remove_prefix(1);
    ++used;
  }
  return used;
}

/// Words whose wording is the finding itself.
bool tells_more(const Row& row) {
  if (row.kind == Kind::look || row.kind == Kind::smell) return true;
  return row.kind == Kind::function && row.word != Word::right && row.text != name_of(row.word) && row.text != "no";
}

template <class Rows>
auto longest_of(const Rows& rows, const Typed& typed, std::size_t i) {
  std::pair<std::size_t, const typename Rows::value_type*> best{0, nullptr};
  std::size_t best_length = 0;
  for (const auto& row : rows)
    if (const std::size_t used = spelled(typed, i, row.text); used > 0 && row.text.size() > best_length) {
      best = {used, &row};
      best_length = row.text.size();
    }
  return best;
}

}  // namespace

Where where_of(const Point& point) noexcept {
  switch (point.at) {
    case Point::At::leg: return kLeg;
    case Point::At::net: return kNet;
    case Point::At::pair: return kPair;
    case Point::At::part: return kPart;
    case Point::At::function: return kFunction;
    case Point::At::machine: return kMachine;
  }
  return kAnywhere;
}

const char* name_of_where(Where where) noexcept {
  switch (where) {
    case kLeg: return "a pin";
    case kNet: return "a net";
    case kPair: return "two points";
    case kPart: return "a part";
    case kFunction: return "a function of the machine";
    case kMachine: return "the whole machine";
    default: return "a point";
  }
}

std::optional<FoundPhrase> longest_phrase(const Typed& typed, std::size_t i) {
  const auto [used, row] = longest_of(kRows, typed, i);
  if (row == nullptr) return std::nullopt;
  FoundPhrase found{used, row->text, {}, tells_more(*row)};
  for (const Row& same : kRows)
    if (same.text == row->text) found.meanings.push_back({same.kind, same.word, same.where});
  return found;
}

std::optional<Opening> opening_at(const Typed& typed, std::size_t i) {
  const auto [used, row] = longest_of(kOpenings, typed, i);
  if (row == nullptr) return std::nullopt;
  return Opening{used, row->kind};
}

std::optional<Verdict> verdict_at(const Typed& typed, std::size_t i) {
  const auto [used, row] = longest_of(kVerdicts, typed, i);
  if (row == nullptr) return std::nullopt;
  return Verdict{used, row->good};
}

const char* words_for(Where where) noexcept {
  switch (where) {
    case kLeg:
    case kNet: return "low, high, pulsing, floating, middle, 4.31V, 3.58MHz, 64us, 220R";
    case kPair: return "beep, no-beep, 220R, OL, 0.6V diode, 4.31V";
    case kPart: return "hot, warm, cold, bulging, corroded, passed, failed, 220R across two legs";
    case kFunction: return "works, dead, wrong, weak, comes and goes";
    case kMachine: return "650mA, smoke, all hot; of its memory: bits 3 and 5 fail, all bits right, no report";
    default: return "4.31V, 4k7, low, pulsing, beep, hot, works";
  }
}

const std::vector<std::string>& spelling_words() {
  static const std::vector<std::string> words_once = [] {
    std::vector<std::string> out;
    for (const Row& row : kRows)
      if (row.text.find(' ') == std::string_view::npos && row.text.size() > 2) out.emplace_back(row.text);
    std::sort(out.begin(), out.end());
    out.erase(std::unique(out.begin(), out.end()), out.end());
    return out;
  }();
  return words_once;
}

}  // namespace halfsplit::observe
