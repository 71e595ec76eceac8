#include "logic/banks.h"

#include <algorithm>

namespace halfsplit::logic {
namespace {

bool written(const Network& network, std::uint32_t part) {
  const auto& held = network.part_storages[part];
  return std::any_of(held.begin(), held.end(), [&](std::uint32_t id) { return network.storages[id].kind == Storage::Kind::content && network.storages[id].write; });
}

std::vector<std::uint32_t> data_pins(const Network& network, const Master& master) {
  std::vector<std::uint32_t> out;
  const auto& machine = *network.machine;
  for (const auto pin : master.block->port("data")) out.push_back(machine.pin_of(board::PartId(master.part), pin).index());
  return out;
}

bool overlap(const std::vector<std::uint32_t>& a, const std::vector<std::uint32_t>& b) {
  return std::any_of(a.begin(), a.end(), [&](std::uint32_t part) { return std::binary_search(b.begin(), b.end(), part); });
}

/// Cycles of one memory in several address ranges are one bank.
void join(std::vector<Bank>& banks, Bank more) {
  for (Bank& bank : banks) {
    if (bank.master != more.master || !overlap(bank.parts, more.parts)) continue;
    bank.parts.insert(bank.parts.end(), more.parts.begin(), more.parts.end());
    std::sort(bank.parts.begin(), bank.parts.end());
    bank.parts.erase(std::unique(bank.parts.begin(), bank.parts.end()), bank.parts.end());
    for (std::size_t w = 0; w < bank.slots.size(); ++w) bank.slots[w] |= more.slots[w];
    return;
  }
  banks.push_back(std::move(more));
}

}  // namespace

std::vector<Bank> find_banks(const Network& network) {
  std::vector<Bank> out;
  for (const Cycle& cycle : network.cycles) {
    const Master& master = network.masters[cycle.master];
    if (!master.processor || master.block == nullptr || cycle.name.rfind("read", 0) != 0) continue;
    Bank bank;
    bank.master = cycle.master;
    for (const auto part : cycle.parts)
      if (written(network, part)) bank.parts.push_back(part);
    if (bank.parts.empty()) continue;
    std::sort(bank.parts.begin(), bank.parts.end());
    bank.slots.assign(network.words, 0);
    const std::uint32_t last = cycle.first_slot + cycle.phases - 1;
    bank.slots[last / 64] |= Word64{1} << (last % 64);
    bank.data_pins = data_pins(network, master);
    join(out, std::move(bank));
  }
  std::sort(out.begin(), out.end(), [](const Bank& a, const Bank& b) { return a.parts < b.parts; });
  return out;
}

}  // namespace halfsplit::logic
