#include "trial/rates.h"

#include <map>
#include <string>

#include "base/random.h"

namespace halfsplit::trial {

fault::PriorOdds uncertain_rates(fault::PriorOdds odds, const fault::Catalogue& catalogue, const board::Machine& machine, const RateSpread& spread, std::uint64_t seed) {
  Random random(seed);
  std::map<std::string, double> of_class;
  for (const auto& part : machine.parts()) of_class.emplace(part.type->rate_class, 0);
  for (auto& [name, shift] : of_class) shift = spread.by_class * random.normal();
  std::vector<double> of_part;
  for (std::size_t i = 0; i < machine.parts().size(); ++i) of_part.push_back(spread.by_position * random.normal());
  for (std::size_t k = 0; k < odds.log_odds.size(); ++k) {
    const auto& site = catalogue.faults()[k].site;
    const board::PartId part = site.part.known() ? site.part : site.pin.known() ? machine.pin(site.pin).part : board::PartId();
    if (part.known()) odds.log_odds[k] += of_class[machine.part(part).type->rate_class] + of_part[part.index()];
  }
  return odds;
}

}  // namespace halfsplit::trial
