#include "netlist/split_reference.h"

#include <algorithm>
#include <limits>
#include <set>
#include <unordered_map>
#include <unordered_set>

namespace halfsplit::netlist {

namespace {

using Pieces = std::vector<std::uint32_t>;
using NetsOfPin = std::unordered_map<std::string_view, std::vector<NetIndex>>;

/// Nets of each pin, each once, in file order. Looks back at most `kMostNets` nets, enough to know the pin is contested.
NetsOfPin nets_of_pins(const std::vector<ReferencePad>& pads) {
  constexpr std::size_t kMostNets = 64;
  NetsOfPin nets;
  for (const ReferencePad& pad : pads) {
    if (!pad.net.known()) continue;
    std::vector<NetIndex>& list = nets[pad.pin];
    if (list.size() < kMostNets && std::find(list.begin(), list.end(), pad.net) == list.end()) list.push_back(pad.net);
  }
  return nets;
}

/// A new piece begins where a pin returns that the present piece already has (several pads of one pin in a row are one).
Pieces by_order(const std::vector<ReferencePad>& pads) {
  Pieces pieces(pads.size(), 0);
  std::unordered_set<std::string_view> seen;
  std::uint32_t present = 0;
  for (std::size_t i = 0; i < pads.size(); ++i) {
    const bool same_again = i > 0 && pads[i].pin == pads[i - 1].pin && pads[i].net == pads[i - 1].net;
    if (!same_again && !seen.insert(pads[i].pin).second) {
      ++present;
      seen.clear();
      seen.insert(pads[i].pin);
    }
    pieces[i] = present;
  }
  return pieces;
}

/// All pieces have the same pins, and no pin of a piece is on two nets.
bool whole_parts(const std::vector<ReferencePad>& pads, const Pieces& pieces) {
  std::vector<std::set<std::string_view>> pins;
  std::unordered_map<std::string_view, NetIndex> nets;
  for (std::size_t i = 0; i < pads.size(); ++i) {
    if (pieces[i] >= pins.size()) {
      pins.emplace_back();
      nets.clear();
    }
    pins[pieces[i]].insert(pads[i].pin);
    const auto [found, fresh] = nets.emplace(pads[i].pin, pads[i].net);
    if (!fresh && found->second != pads[i].net) return false;
  }
  return pins.size() > 1 && std::all_of(pins.begin(), pins.end(), [&](const auto& set) { return set == pins.front(); });
}

/// Seeds are the pads of the most contested pin, one per net; every pad joins the nearest.
std::optional<Pieces> by_place(const std::vector<ReferencePad>& pads, const NetsOfPin& nets) {
  constexpr std::size_t kMostPieces = 16;
  std::string_view contested;
  std::size_t most = 1;
  for (const ReferencePad& pad : pads) {
    if (!pad.at) return std::nullopt;
    const auto found = nets.find(pad.pin);
    if (found != nets.end() && found->second.size() > most) {
      most = found->second.size();
      contested = pad.pin;
    }
  }
  if (most < 2 || most > kMostPieces) return std::nullopt;
  std::vector<Point> seeds;
  for (const NetIndex net : nets.at(contested)) {
    const auto seed = std::find_if(pads.begin(), pads.end(), [&](const ReferencePad& pad) { return pad.pin == contested && pad.net == net; });
    seeds.push_back(*seed->at);
  }
  Pieces pieces(pads.size(), 0);
  for (std::size_t i = 0; i < pads.size(); ++i) {
    double nearest = std::numeric_limits<double>::infinity();
    for (std::size_t s = 0; s < seeds.size(); ++s) {
      const double dx = pads[i].at->x_mm - seeds[s].x_mm, dy = pads[i].at->y_mm - seeds[s].y_mm;
      if (dx * dx + dy * dy >= nearest) continue;
      nearest = dx * dx + dy * dy;
      pieces[i] = static_cast<std::uint32_t>(s);
    }
  }
  return pieces;
}

/// Moves pads until no piece has a pin on two nets.
void settle(const std::vector<ReferencePad>& pads, Pieces& pieces) {
  struct PinState {
    std::unordered_map<std::uint32_t, NetIndex> net_of_piece;
    std::unordered_map<std::uint32_t, std::uint32_t> piece_of_net;
    std::uint32_t next_free = 0;
  };
  std::unordered_map<std::string_view, PinState> states;
  for (std::size_t i = 0; i < pads.size(); ++i) {
    if (!pads[i].net.known()) continue;
    PinState& state = states[pads[i].pin];
    const auto present = state.net_of_piece.find(pieces[i]);
    if (present != state.net_of_piece.end() && present->second != pads[i].net) {
      const auto elsewhere = state.piece_of_net.find(pads[i].net.index());
      while (state.net_of_piece.count(state.next_free) != 0) ++state.next_free;
      pieces[i] = elsewhere != state.piece_of_net.end() ? elsewhere->second : state.next_free;
    }
    state.net_of_piece.emplace(pieces[i], pads[i].net);
    state.piece_of_net.emplace(pads[i].net.index(), pieces[i]);
  }
}

/// Numbers the pieces in the order of first use; returns how many there are.
std::size_t renumber(Pieces& pieces) {
  std::unordered_map<std::uint32_t, std::uint32_t> fresh;
  for (std::uint32_t& piece : pieces) piece = fresh.emplace(piece, static_cast<std::uint32_t>(fresh.size())).first->second;
  return fresh.size();
}

}  // namespace

ReferencePieces split_reference(const std::vector<ReferencePad>& pads) {
  ReferencePieces out;
  out.piece.assign(pads.size(), 0);
  const NetsOfPin nets = nets_of_pins(pads);
  out.contested = static_cast<std::size_t>(std::count_if(nets.begin(), nets.end(), [](const auto& pin) { return pin.second.size() > 1; }));
  if (out.contested == 0) return out;
  Pieces pieces = by_order(pads);
  out.whole = whole_parts(pads, pieces);
  if (!out.whole) {
    pieces = by_place(pads, nets).value_or(Pieces(pads.size(), 0));
    settle(pads, pieces);
  }
  out.count = renumber(pieces);
  out.piece = std::move(pieces);
  return out;
}

}  // namespace halfsplit::netlist
