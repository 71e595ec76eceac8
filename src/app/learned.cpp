#include "app/learned.h"

namespace halfsplit::app {

Result<knowledge::Tally> tally_for(const store::Workshop& workshop, const store::Learned& learned, const job::Job& job, const std::string& profile) {
  const auto all = learned.tallies.find(profile);
  if (all == learned.tallies.end()) return knowledge::Tally{};
  knowledge::Tally out = all->second;
  const auto id = workshop.lesson_id(job);
  if (!id) return id.error();
  const auto own = workshop.held(*id);
  if (!own) return own.error();
  for (const knowledge::Lesson& lesson : own->variants)
    if (lesson.profile == profile) out.add(lesson, -1, static_cast<std::int64_t>(own->variants.size()));
  return out;
}

Result<std::shared_ptr<const knowledge::Beliefs>> beliefs_for(const store::Workshop& workshop, const Sitting& sitting) {
  const auto learned = workshop.learned();
  if (!learned) return learned.error();
  const std::string profile = job::name_of(sitting.options().profile);
  const auto tally = tally_for(workshop, *learned, sitting.job(), profile);
  if (!tally) return tally.error();
  return std::shared_ptr<const knowledge::Beliefs>(std::make_shared<knowledge::Beliefs>(knowledge::believe(*tally, learned->populations, sitting.model().knowledge(), profile)));
}

}  // namespace halfsplit::app
