// tests/measure/sketch.cpp - machines from the numbers on their chips alone, measured on boards whose netlist is known and hidden.
//
// Usage:    measure_sketch DATA NETLIST BOM [NETLIST BOM]... [--faults N] [--seed S]   (DATA holds shared/parts and knowledge; NETLIST is .ipc or .csv)
// Output:   per board: pins with a healthy reading, buses claimed and true, readings that settle them, sweeps to a select's driver; seeded faults found among
//           the first five after at most 15 readings by the priors, pinouts, sketch and netlist. Exit 1 when a target is missed, 77 without input.
#include <fmt/core.h>

#include <algorithm>
#include <filesystem>
#include <map>
#include <set>

#include "base/random.h"
#include "base/text.h"
#include "board/amendment.h"
#include "board/spec.h"
#include "infer/rank.h"
#include "knowledge/knowledge.h"
#include "knowledge/prior.h"
#include "logic/activity.h"
#include "netlist/buses.h"
#include "netlist/import.h"
#include "netlist/ipc356.h"
#include "netlist/net_csv.h"
#include "netlist/sketch.h"
#include "netlist/sweeps.h"
#include "parts/stand_in.h"
#include "plan/next.h"
#include "predict/predictor.h"
#include "trial/world.h"

using namespace halfsplit;

namespace {

constexpr std::size_t kChipPins = 8, kMostReadings = 15, kFirst = 5;
constexpr double kDoubt = 0.02;

template <class T>
T take(Result<T> result) {
  if (!result.ok()) {
    fmt::print(stderr, "{}\n", result.error().text());
    std::exit(3);
  }
  return std::move(result).value();
}

struct Bench {
  std::shared_ptr<const parts::Library> library;
  std::shared_ptr<const knowledge::Knowledge> known;
};

/// A machine ready to be asked; the predictor refers to the catalogue, which stays where it is.
struct Side {
  std::shared_ptr<const board::Machine> machine;
  std::unique_ptr<const fault::Catalogue> catalogue;
  std::unique_ptr<fault::Predictor> predictor;
  fault::PriorOdds odds;
};
Side side_of(const board::MachineSpec& spec, const std::vector<std::string>& more, const Bench& bench) {
  std::vector<board::Amendment> lines;
  for (const std::string& line : more) lines.push_back(take(board::parse_amendment(line)));
  Side out;
  out.machine = take(board::build(lines.empty() ? spec : take(board::amend(spec, lines, *bench.library)), bench.library));
  out.catalogue = std::make_unique<const fault::Catalogue>(fault::Catalogue::build(*out.machine));
  out.predictor = predict::make_predictor(*out.machine, *out.catalogue, bench.known->evidence(), logic::Activity::build(*out.machine));
  knowledge::Circumstances circumstances;
  std::vector<std::string> all = spec.amendments;
  all.insert(all.end(), more.begin(), more.end());
  for (const auto& [pin, doubt] : board::likely_doubts(all))
    if (const auto id = out.machine->find_pin(pin); id && doubt > 0) circumstances.doubts[*id] = doubt;
  out.odds = take(knowledge::prior_odds(*bench.known, *out.catalogue, *out.machine, circumstances));
  return out;
}

bool is_chip(const board::Part& part) { return part.fitted && !part.surroundings && part.unit.known() && part.family != nullptr && part.pin_count >= kChipPins && !part.type->custom; }

/// Of all integrated circuits, those that the library doesn't know included, only numbers are told to the sketch.
std::vector<netlist::Chip> chips_of(const board::Machine& machine) {
  std::vector<netlist::Chip> out;
  for (const board::Part& part : machine.parts())
    if (is_chip(part)) out.push_back({part.ref, part.type->id, part.type->id, part.family->id == part.type->family ? "" : part.family->id, ""});
  return out;
}

/// What an honest meter says between two pins of the true board.
bool beeps(const board::Machine& truth, const std::string& a, const std::string& b) {
  const auto x = truth.find_pin(a), y = truth.find_pin(b);
  return x && y && truth.pin(*x).net.known() && truth.pin(*x).net == truth.pin(*y).net;
}

std::optional<observe::Word> healthy_word(const fault::Predictor& predictor, board::PinId pin) {
  fault::Query query;
  query.kind = observe::Kind::probe;
  query.point.at = observe::Point::At::leg;
  query.point.pin = pin;
  StepBudget budget(100000);
  const auto table = predictor.outcomes({fault::Hypothesis()}, {query}, budget);
  const auto& p = table.at(0, 0).p;
  for (std::size_t i = 0; i < p.size(); ++i)
    if (p[i] > 0.9f) return static_cast<observe::Word>(i);
  return std::nullopt;
}

struct Score { std::size_t good = 0, all = 0; double share() const { return all == 0 ? 0 : static_cast<double>(good) / static_cast<double>(all); } };

/// Pins of chips with a level told; those of them where the netlist doesn't tell another; and of the pins where the netlist tells one level, those told alike.
struct Pins { Score told, unopposed, alike; };
Pins pins_told(const Side& sketch, const Side& truth) {
  Pins out;
  for (const board::Part& part : truth.machine->parts()) {
    if (!part.fitted || part.surroundings || !part.unit.known() || part.pin_count < kChipPins || !(part.family || part.type->custom) || part.ref.find_first_of("JSW") != std::string::npos) continue;
    for (std::size_t i = 0; i < part.pin_count; ++i) {
      const board::PinId there(part.first_pin.index() + i);
      if (truth.machine->pin_type(there).role == parts::PinRole::not_connected) continue;
      const auto here = sketch.machine->find_pin(truth.machine->name_of(there));
      const auto told = here ? healthy_word(*sketch.predictor, *here) : std::nullopt, right = healthy_word(*truth.predictor, there);
      ++out.told.all;
      ++out.unopposed.all;
      out.alike.all += right.has_value();
      out.told.good += told.has_value();
      out.unopposed.good += told && (!right || told == right);
      out.alike.good += right && told == right;
    }
  }
  return out;
}

/// True lane by lane.
bool is_true(const netlist::Bus& bus, const board::Machine& truth) {
  return std::all_of(bus.lanes.begin(), bus.lanes.end(), [&](const netlist::Lane& lane) { return beeps(truth, lane.a, lane.b); });
}

struct Settled { std::size_t readings = 0, buses = 0, settled = 0; Score claimed, laid; };

/// Reads the lane of the most probable open bus until none is open; counts until data and address between processor and memories stand.
Settled settle(std::vector<netlist::Bus> buses, const board::Machine& truth, std::vector<netlist::Contact>& contacts) {
  Settled out;
  for (const auto& bus : buses) {
    if (!bus.laid) continue;
    ++out.laid.all;
    out.laid.good += is_true(bus, truth);
  }
  const auto counts = [](const netlist::Bus& bus) { return bus.title == "data" || bus.title == "address"; };
  for (;;) {
    netlist::weigh(buses, contacts);
    const netlist::Bus* best = nullptr;
    for (const auto& bus : buses)
      if (counts(bus) && bus.next() && bus.chance > 0.02 && (!best || bus.chance > best->chance)) best = &bus;
    if (!best) break;
    const netlist::Lane lane = *best->next();
    contacts.push_back({lane.a, lane.b, beeps(truth, lane.a, lane.b)});
    ++out.readings;
  }
  for (const auto& bus : buses) {
    if (counts(bus)) ++out.buses;
    if (counts(bus) && bus.settled()) ++out.settled;
    if (bus.chance < netlist::kClaimed) continue;
    ++out.claimed.all;
    out.claimed.good += is_true(bus, truth);
  }
  return out;
}

/// Sweeps until the driver of a pin is found, in the order that the program proposes; nothing where no chip drives it.
std::optional<std::size_t> sweeps_to(const Side& sketch, const board::Machine& truth, board::PinId pin) {
  std::size_t count = 0;
  for (const board::PartId chip : netlist::sweep_order(*sketch.machine, pin, {})) {
    ++count;
    const board::Part& part = sketch.machine->part(chip);
    for (std::size_t i = 0; i < part.pin_count; ++i) {
      const board::PinId other(part.first_pin.index() + i);
      if (parts::can_drive(sketch.machine->pin_type(other).role) && beeps(truth, sketch.machine->name_of(pin), sketch.machine->name_of(other))) return count;
    }
  }
  return std::nullopt;
}

std::vector<std::size_t> select_sweeps(const Side& sketch, const board::Machine& truth) {
  std::vector<std::size_t> out;
  for (std::size_t i = 0; i < sketch.machine->parts().size(); ++i) {
    const board::Part& part = sketch.machine->parts()[i];
    for (std::size_t k = 0; k < part.pin_count; ++k) {
      const board::PinId pin(part.first_pin.index() + k);
      const std::string name = upper(sketch.machine->pin_type(pin).name);
      if (!sketch.machine->pin_type(pin).active_low || (name != "CE" && name != "CS" && name != "CS1" && name != "CE1")) continue;
      if (const auto count = sweeps_to(sketch, truth, pin)) out.push_back(*count);
    }
  }
  return out;
}

/// Modes that show on a probe or meter, at chips whose number is in the library.
std::vector<fault::FaultId> hidden_faults(const Side& truth, std::size_t count, std::uint64_t seed) {
  std::vector<fault::FaultId> all, out;
  for (std::uint32_t i = 0; i < truth.catalogue->size(); ++i) {
    const fault::Fault& f = truth.catalogue->faults()[i];
    if (f.site.kind != fault::Site::Kind::part || !f.site.part.known() || !is_chip(truth.machine->part(f.site.part))) continue;
    using parts::Effect;
    if (f.effect == Effect::stuck_low || f.effect == Effect::stuck_high || f.effect == Effect::dead || f.effect == Effect::no_drive) all.push_back(fault::FaultId(i));
  }
  const auto queries = truth.predictor->queries({}, {observe::Kind::probe});
  Random random(seed);
  while (out.size() < count && !all.empty()) {
    const std::size_t at = random.below(all.size());
    StepBudget budget(10000);
    const auto table = truth.predictor->outcomes({fault::Hypothesis(), fault::Hypothesis(all[at])}, queries, budget);
    bool shows = false;
    for (std::size_t q = 0; q < queries.size() && !shows; ++q)
      for (std::size_t w = 0; w < table.at(0, q).p.size(); ++w) shows = shows || std::abs(table.at(0, q).p[w] - table.at(1, q).p[w]) > 0.4f;
    if (shows) out.push_back(all[at]);
    all.erase(all.begin() + static_cast<std::ptrdiff_t>(at));
  }
  return out;
}

bool among_first(const fault::Ranking& ranking, const std::string& ref) {
  for (std::size_t i = 0; i < std::min(kFirst, ranking.suspects.size()); ++i)
    if (ranking.suspects[i].name == ref) return true;
  return false;
}

struct Told { std::string pin; observe::Kind kind; observe::Value value; };

/// One search on a side that may grow by continuity.
class Search {
 public:
  Search(const board::MachineSpec& spec, const Bench& bench, const Side& truth, fault::FaultId hidden, std::uint64_t seed, bool traces, const Side& start)
      : spec_(spec), bench_(bench), truth_(truth), hidden_(hidden), seed_(seed), traces_(traces), side_(&start) {}

  bool found() {
    const std::string ref = truth_.machine->part(truth_.catalogue->fault(hidden_).site.part).ref;
    fault::Ranking ranking = rank();
    for (readings_ = 0; readings_ < kMostReadings; ++readings_) {
      if (traces_ && sweep(ranking)) {
        ranking = rank();
        continue;
      }
      const auto query = next(ranking);
      if (!query) break;
      trial::World world(*side_->machine, *truth_.predictor, fault::Hypothesis(hidden_), {kDoubt, 0}, seed_ + readings_);
      if (const auto value = world.answer(*query)) told_.push_back({side_->machine->name_of(query->point.pin), query->kind, *value});
      asked_.insert({side_->machine->name_of(query->point.pin), query->kind});
      ranking = rank();
    }
    return among_first(ranking, ref);
  }

 private:
  std::vector<fault::Evidence> evidence() const {
    std::vector<fault::Evidence> out;
    for (const Told& one : told_) {
      const auto pin = side_->machine->find_pin(one.pin);
      if (!pin) continue;
      fault::Evidence piece;
      piece.query.kind = one.kind;
      piece.query.point.at = observe::Point::At::leg;
      piece.query.point.pin = *pin;
      piece.value = one.value;
      piece.doubt = kDoubt;
      piece.event = out.size();
      out.push_back(piece);
    }
    return out;
  }
  fault::Ranking rank() const { return infer::rank(*side_->predictor, side_->odds, evidence()); }

  std::optional<fault::Query> next(const fault::Ranking& ranking) const {
    plan::PlanOptions options;
    options.kinds = {observe::Kind::probe, observe::Kind::volts_dc};
    options.asked = evidence();
    options.isolate = false;
    options.safety_order = false;
    options.tests = kMostReadings + 1;
    for (const fault::Test& test : plan::next_tests(*side_->predictor, side_->odds, ranking, options)) {
      const auto& point = test.query.point;
      if (point.at == observe::Point::At::leg && point.side == observe::Side::leg && asked_.count({side_->machine->name_of(point.pin), test.query.kind}) == 0) return test.query;
    }
    return std::nullopt;
  }

  /// Where a stand-in leads, the next chip is swept from its pin; the sketch grows by what beeps.
  bool sweep(const fault::Ranking& ranking) {
    if (ranking.suspects.empty() || told_.empty()) return false;
    const fault::Suspect& first = ranking.suspects.front();
    const auto faults = side_->catalogue->faults_at(first.site);
    const board::PartId stand_in = side_->catalogue->fault(faults.front()).site.part;
    if (first.p < 0.1 || !stand_in.known() || !parts::stands_in(*side_->machine->part(stand_in).type)) return false;
    const std::string pin = side_->machine->part(stand_in).value;
    const auto order = netlist::sweep_order(*side_->machine, *side_->machine->find_pin(pin), {});
    for (const board::PartId chip : order) {
      const board::Part& part = side_->machine->part(chip);
      if (!swept_.insert({pin, part.ref}).second) continue;
      std::vector<std::string> found;
      for (std::size_t i = 0; i < part.pin_count; ++i) {
        const std::string other = side_->machine->name_of(board::PinId(part.first_pin.index() + i));
        if (beeps(*truth_.machine, pin, other)) found.push_back(other);
      }
      for (const std::string& other : found) contacts_.push_back({pin, other, true});
      if (!found.empty()) grow();
      return true;
    }
    return false;
  }
  void grow() {
    auto buses = netlist::buses_of(spec_, *bench_.library);
    netlist::weigh(buses, contacts_);
    own_ = std::make_unique<Side>(side_of(spec_, netlist::found_joins(buses, contacts_), bench_));
    side_ = own_.get();
  }

  const board::MachineSpec& spec_;
  const Bench& bench_;
  const Side& truth_;
  fault::FaultId hidden_;
  std::uint64_t seed_;
  bool traces_;
  const Side* side_;
  std::unique_ptr<Side> own_;
  std::vector<Told> told_;
  std::set<std::pair<std::string, observe::Kind>> asked_;
  std::set<std::pair<std::string, std::string>> swept_;
  std::vector<netlist::Contact> contacts_;
  std::size_t readings_ = 0;
};

std::string percent(const Score& score) { return fmt::format("{:.1f} % of {}", 100 * score.share(), score.all); }

board::MachineSpec import(const std::string& path, const std::string& bom_path, const parts::Library& library) {
  const auto bytes = take(read_file(path));
  const auto file = ends_with(path, ".csv") ? take(netlist::read_net_csv(bytes, path)) : take(netlist::read_ipc356(bytes, path));
  const auto bom = take(netlist::read_bom(take(read_file(bom_path)), bom_path));
  return netlist::import_board(file, &bom, library, {"imported", ""}).spec;
}

bool measure(const std::string& name, const board::MachineSpec& true_spec, const Bench& bench, std::size_t faults, std::uint64_t seed) {
  bool good = true;
  const auto row = [&](const std::string& what, const std::string& figure) { fmt::print("{:<10} {:<44} {}\n", name, what, figure); std::fflush(stdout); };
  const auto gate = [&](const std::string& what, const std::string& figure, bool met) { row(what, figure + (met ? "" : "  MISSED")); good = good && met; };
  const Side truth = side_of(true_spec, {}, bench);
  const auto chips = chips_of(*truth.machine);
  const auto spec = take(netlist::sketch_machine(chips, *bench.library, "sketch", "sketch"));
  const Side sketch = side_of(spec, {}, bench);
  row("chips", std::to_string(chips.size()));
  const Pins pins = pins_told(sketch, truth);
  row("pins with a level told", percent(pins.told));
  gate("told and the netlist not otherwise (>= 35 %)", percent(pins.unopposed), pins.unopposed.share() >= 0.35);
  row("of pins the netlist is sure of, told alike", percent(pins.alike));
  std::vector<netlist::Contact> contacts;
  const Settled settled = settle(netlist::buses_of(spec, *bench.library), *truth.machine, contacts);
  row("laid in before any reading and true", percent(settled.laid));
  gate("claimed at 0.9 or more and true (>= 90 %)", percent(settled.claimed), settled.claimed.all == 0 || settled.claimed.share() >= 0.9);
  row("data and address buses settled", fmt::format("{} of {} candidates, {} readings in all", settled.settled, settled.buses, settled.readings));
  auto sweeps = select_sweeps(sketch, *truth.machine);
  std::sort(sweeps.begin(), sweeps.end());
  if (!sweeps.empty()) gate("sweeps to the driver of a select (<= 7)", fmt::format("median {}, most {}, of {}", sweeps[sweeps.size() / 2], sweeps.back(), sweeps.size()), sweeps.back() <= 7);
  if (faults == 0) return good;

  board::MachineSpec bare = spec;
  bare.amendments.clear();
  const Side pinouts = side_of(bare, {}, bench);
  Score prior, by_pinouts, by_sketch, by_netlist;
  const fault::Ranking unread = infer::rank(*truth.predictor, truth.odds, {});
  for (const fault::FaultId hidden : hidden_faults(truth, faults, seed)) {
    const std::uint64_t own = seed * 7919 + hidden.index() * 104729ull;
    for (Score* score : {&prior, &by_pinouts, &by_sketch, &by_netlist}) ++score->all;
    prior.good += among_first(unread, truth.machine->part(truth.catalogue->fault(hidden).site.part).ref);
    by_pinouts.good += Search(bare, bench, truth, hidden, own, false, pinouts).found();
    by_sketch.good += Search(spec, bench, truth, hidden, own, true, sketch).found();
    by_netlist.good += Search(true_spec, bench, truth, hidden, own, false, truth).found();
  }
  if (prior.all == 0) return good;
  gate("first five: prior, pinouts, sketch, netlist", fmt::format("{:.0f}, {:.0f}, {:.0f}, {:.0f} % of {} faults", 100 * prior.share(), 100 * by_pinouts.share(), 100 * by_sketch.share(), 100 * by_netlist.share(), prior.all),
       by_sketch.share() >= 0.6 && by_sketch.share() >= by_netlist.share() - 0.15 && by_sketch.share() >= by_pinouts.share() - 0.05);
  return good;
}

}  // namespace

int main(int argc, char** argv) {
  std::vector<std::string> words;
  std::size_t faults = 200;
  std::uint64_t seed = 1;
  for (int i = 1; i < argc; ++i) {
    const std::string word = argv[i];
    if (word == "--faults" && i + 1 < argc) faults = std::stoul(argv[++i]);
    else if (word == "--seed" && i + 1 < argc) seed = std::stoull(argv[++i]);
    else words.push_back(word);
  }
  if (words.size() < 3 || !std::filesystem::exists(words[1])) {
    fmt::print("skipped: no input\n");
    return 77;
  }
  Bench bench{take(parts::Library::open(words[0] + "/shared/parts")), take(knowledge::Knowledge::load(words[0] + "/knowledge"))};
  bool good = true;
  for (std::size_t i = 1; i + 1 < words.size(); i += 2) good = measure(fmt::format("board {}", (i + 1) / 2), import(words[i], words[i + 1], *bench.library), bench, faults, seed) && good;
  return good ? 0 : 1;
}
