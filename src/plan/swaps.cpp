#include "plan/swaps.h"

#include <algorithm>
#include <cmath>

#include "board/swap.h"

namespace halfsplit::plan {
namespace {

using board::PartId;
using observe::Kind;

constexpr double kWorthSwapping = 0.05;
constexpr std::size_t kMostSwapped = 3;

bool rail_right(board::NetId rail, const PlanOptions& options, const board::Machine& machine) {
  const board::Net& net = machine.net(rail);
  bool right = false;  // as it was measured last
  for (const fault::Evidence& piece : options.asked) {
    const observe::Point& point = piece.query.point;
    const board::NetId here = point.at == observe::Point::At::net ? point.net : point.at == observe::Point::At::leg ? machine.pin(point.pin).net : board::NetId();
    if (piece.query.kind != Kind::volts_dc || here != rail || !piece.query.setup.powered() || !piece.value.is_number()) continue;
    const double margin = std::abs(net.rail_v) * net.tolerance * 1.1;
    right = piece.value.from >= net.rail_v - margin && piece.value.to <= net.rail_v + margin;
  }
  return right;
}

bool rails_right(PartId part, const PlanOptions& options, const board::Machine& machine) {
  for (std::size_t i = 0; i < machine.part(part).pin_count; ++i) {
    const board::NetId net = machine.pin(machine.pin_of(part, i)).net;
    if (net.known() && machine.net(net).kind == board::NetKind::rail && !rail_right(net, options, machine)) return false;
  }
  return true;
}

/// What is wrong so far: functions and memory reports that were not right when last read.
std::vector<fault::Query> complaints(const PlanOptions& options, const board::Setup& setup) {
  std::vector<fault::Query> out;
  for (auto piece = options.asked.rbegin(); piece != options.asked.rend(); ++piece) {
    const bool tells = piece->query.kind == Kind::function || piece->query.kind == Kind::memory;
    if (!tells || !piece->value.word || *piece->value.word == observe::Word::right) continue;
    fault::Query query = piece->query;
    query.setup = setup;
    if (std::find(out.begin(), out.end(), query) == out.end()) out.push_back(std::move(query));
  }
  return out;
}

class Swaps {
 public:
  Swaps(const fault::Predictor& predictor, const Rows& rows, const PlanOptions& options, const board::Setup& on)
      : predictor_(predictor), rows_(rows), options_(options), on_(on) {}

  std::vector<Block> make() {
    std::vector<std::pair<double, PartId>> order;
    for (const fault::SiteId site : rows_.sites) {
      const auto part = part_of(site);
      const double share = rows_.weight_at(site, rows_.weights);
      if (part && share >= kWorthSwapping && may_move(*part)) order.emplace_back(-share, *part);
    }
    std::sort(order.begin(), order.end());
    if (order.size() > kMostSwapped) order.resize(kMostSwapped);
    for (const auto& [share, part] : order) {
      if (options_.spares) add(board::with_spare(on_, part, next_spare(part), {}));
      if (const auto twin = least_suspected_twin(part)) add(board::exchanged(on_, part, *twin));
    }
    return std::move(blocks_);
  }

 private:
  std::optional<PartId> part_of(fault::SiteId site) const {
    for (const fault::FaultId id : predictor_.catalogue().faults_at(site)) {
      const fault::Site& place = predictor_.catalogue().fault(id).site;
      if (place.kind == fault::Site::Kind::part && place.part.known() && place.spare == 0) return place.part;
    }
    return std::nullopt;
  }
  bool may_move(PartId part) const {
    const board::Part& it = machine().part(part);
    return it.socketed && !it.surroundings && board::in_place(part, on_) == board::Thing{part, 0} && rails_right(part, options_, machine());
  }
  std::optional<PartId> least_suspected_twin(PartId part) const {
    std::optional<PartId> best;
    double least = 2;
    for (const PartId twin : board::like_parts(part, machine())) {
      if (!may_move(twin)) continue;
      const auto site = predictor_.catalogue().site_of_part(twin);
      const double share = site ? rows_.weight_at(*site, rows_.weights) : 0;
      if (share >= least) continue;
      least = share;
      best = twin;
    }
    return best;
  }
  std::uint8_t next_spare(PartId part) const {
    std::uint8_t last = 0;
    for (const fault::Fault& fault : predictor_.catalogue().faults())
      if (fault.site.part == part) last = std::max(last, fault.site.spare);
    return static_cast<std::uint8_t>(last + 1);
  }
  void add(const board::Setup& setup) {
    Block block;
    block.setup = setup;
    block.isolates = true;
    for (fault::Query& query : complaints(options_, setup))
      if (!options_.permitted || options_.permitted(query)) block.queries.push_back(std::move(query));
    if (!block.queries.empty()) blocks_.push_back(std::move(block));
  }

  const board::Machine& machine() const { return predictor_.machine(); }  ///< not every predictor has one: asked only about parts

  const fault::Predictor& predictor_;
  const Rows& rows_;
  const PlanOptions& options_;
  const board::Setup& on_;
  std::vector<Block> blocks_;
};

}  // namespace

std::vector<Block> swap_blocks(const fault::Predictor& predictor, const Rows& rows, const PlanOptions& options, const board::Setup& on) {
  if (!options.isolate) return {};
  return Swaps(predictor, rows, options, on).make();
}

}  // namespace halfsplit::plan
