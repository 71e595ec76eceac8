// store/lesson_rows.h - lessons as rows, and their sums kept in step. Inside a transaction of the caller.
//
// Errors:   store for rows that say nothing this program knows.
// Start at: absorb_lesson(), read_sums().
#pragma once
#include <map>
#include <optional>
#include <string>

#include "job/job.h"
#include "knowledge/experience.h"
#include "store/database.h"

namespace halfsplit::store {

enum class Absorbed { fresh, newer, known, older, conflict };

/// What is held for this id; empty variants where there is nothing.
Result<knowledge::Held> held_lesson(const Database& database, const std::string& id);
/// What adding would do.
Absorbed outcome_of(const knowledge::Held& held, const knowledge::Lesson& lesson);
/// Adds the lesson as knowledge::learn() would, and corrects the sums.
Result<Absorbed> absorb_lesson(const Database& database, const knowledge::Lesson& lesson);
/// Takes it away whatever its version, and corrects the sums.
Status drop_lesson(const Database& database, const std::string& id);
/// Line `nr` of the job teaches this, in place of what the job taught before.
Status put_taught(const Database& database, job::JobId job, std::size_t nr, const knowledge::Lesson& lesson, const knowledge::Population& population);
/// Of the job's last line that taught something.
Result<std::optional<knowledge::Lesson>> last_taught(const Database& database, job::JobId job);
Status put_population(const Database& database, const knowledge::Population& population);
Result<std::map<std::string, knowledge::Tally>> read_sums(const Database& database);
Result<std::map<std::string, knowledge::Population>> read_populations(const Database& database);
Result<knowledge::Experience> read_experience(const Database& database);

}  // namespace halfsplit::store
