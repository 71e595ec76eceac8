// Section learning: how soon the repairs of a workshop outweigh the packs.
#include "knowledge/read_pack.h"

namespace halfsplit::knowledge {

void read_learning(Fields& top, Entries& entries, Errors& errors) {
  for_table(top, "learning", errors, [&](Fields& fields) {
    LearningSpread& out = entries.learning;
    read_entry(fields, out, "learning");
    constexpr const char* kLevels[] = {"class", "technology", "type", "machine", "position"};
    for (std::size_t i = 0; i < out.samples.size(); ++i) out.samples[i] = number_within(fields, kLevels[i], 0.05, 1e6);
    out.modes = number_within(fields, "modes", 0.05, 1e6);
    out.by_itself = number_within(fields, "by-itself", 0, 1, out.by_itself);
    for_table(fields, "design-error", errors, [&](Fields& error) {
      out.error_chance = number_within(error, "chance", 0, 0.5);
      out.error_factor = number_within(error, "factor", 1, 1e4);
      out.error_sample = number_within(error, "sample", 0.01, 1e3);
    });
    static_cast<void>(fields.text("note"));
  });
}

}  // namespace halfsplit::knowledge
