// store/schema.h - which file is a workshop, and the steps from one schema to the next.
//
// Idea:     schema N is what the first N steps make; a file says its N in user_version and whose it is in application_id. One transaction takes it
//           from its N to the newest, so that a kill in between leaves the old one whole.
// Errors:   store: somebody else's file, a newer schema, no write-ahead mode (network folder).
// Start at: bring_up_to_date().
#pragma once
#include <span>
#include <string>
#include <vector>

#include "base/result.h"
#include "store/database.h"

namespace halfsplit::store {

inline constexpr std::int64_t kApplicationId = 0x48535054;  ///< "HSPT"

/// The steps of this program; docs/store-format.md.
std::span<const char* const> schema_steps();
/// Makes an empty file a workshop, or migrates an older one after a backup beside it; `steps` are schema_steps() but in tests.
Status bring_up_to_date(const Database& database, std::span<const char* const> steps);

}  // namespace halfsplit::store
