// knowledge/read_pack.h - reads one pack of knowledge, strictly; each file of readers knows some sections.
//
// Errors:   file:line:column, unknown keys with "did you mean", figures out of range; collected in `errors`.
// Start at: read_pack(); check_entries() for what only shows when all packs are together.
#pragma once
#include <functional>
#include <string_view>

#include "base/document.h"
#include "knowledge/pack.h"

namespace halfsplit::knowledge {

/// Adds what the document says to `entries`.
void read_pack(const halfsplit::Node& document, Entries& entries, Errors& errors);
/// Ids given twice, sources and profiles that nobody declares, sections that must be there.
void check_entries(const Entries& entries, Errors& errors);

// ---- the sections, one file of readers each ----
void read_rates(Fields& top, Entries& entries, Errors& errors);
void read_modes(Fields& top, Entries& entries, Errors& errors);
void read_evidence(Fields& top, Entries& entries, Errors& errors);
void read_minutes(Fields& top, Entries& entries, Errors& errors);
void read_circumstances(Fields& top, Entries& entries, Errors& errors);
void read_symptoms(Fields& top, Entries& entries, Errors& errors);
void read_learning(Fields& top, Entries& entries, Errors& errors);
void read_procedures(Fields& top, Entries& entries, Errors& errors);

// ---- shared by them ----
/// Calls `read` with each table of the list `key` and refuses keys it didn't ask for.
void for_each_table(Fields& top, std::string_view key, Errors& errors, const std::function<void(Fields&)>& read);
/// The same for the one table `key`; false when it is not there.
bool for_table(Fields& top, std::string_view key, Errors& errors, const std::function<void(Fields&)>& read);
/// id, source, version; a table that stands alone is named by `id` instead of a key.
void read_entry(Fields& fields, Entry& entry, std::string_view id = {});
/// A number within limits, or an error at its place.
double number_within(Fields& fields, std::string_view key, double low, double high, std::optional<double> otherwise = {});
/// A kind of observation by its name ("DC volts").
std::optional<observe::Kind> kind_named(Fields& fields, std::string_view name, const Place& place);
std::optional<observe::Kind> need_kind(Fields& fields);
/// `key = [low, typical, high]`, rising, 0 to 10,000.
Minutes need_minutes(Fields& fields, std::string_view key);
/// A list of texts that must not be empty.
std::vector<std::string> need_texts(Fields& fields, std::string_view key);

}  // namespace halfsplit::knowledge
