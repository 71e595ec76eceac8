// Search over what was said in all jobs, and the cache: both can be made again from elsewhere.
#include <fmt/core.h>

#include <algorithm>
#include <cctype>

#include "base/scan.h"
#include "base/text.h"
#include "store/inside.h"
#include "store/job_rows.h"

namespace halfsplit::store {
namespace {

constexpr std::size_t kMostWords = 32;

/// Every word in quotes, so that nothing a person types is an operator; its beginning is enough.
std::string match_text(std::string_view typed, const char* between = " ") {
  std::string plain(typed.substr(0, utf8_length(typed)));
  for (char& c : plain)
    if (c == '\0' || c == '"') c = ' ';
  std::string out;
  std::size_t count = 0;
  for (const std::string_view word : words(plain)) {
    const bool says_something = std::any_of(word.begin(), word.end(), [](unsigned char c) { return c >= 0x80 || std::isalnum(c); });
    if (says_something && ++count <= kMostWords) out += fmt::format("{}\"{}\"*", out.empty() ? "" : between, word);
  }
  return out;
}

Result<std::vector<Found>> found(const Database& database, const std::string& match, std::size_t most) {
  std::vector<Found> out;
  if (match.empty()) return out;
  std::optional<Error> trouble;
  const Status read = database.each(
      "SELECT jobs.id, title, machine, outcome, kind, typed, at FROM said JOIN lines ON lines.id = said.rowid JOIN jobs ON jobs.id = lines.job WHERE said MATCH ?1 ORDER BY rank, lines.id LIMIT ?2",
      {match, static_cast<std::int64_t>(std::min<std::size_t>(most, 1000))}, [&](const Row& row) {
        auto line = line_in(database, row.text(4), row.text(5), row.text(6));
        const auto outcome = outcome_in(database, row.text(3));
        if (!line || !outcome) trouble = line ? outcome.error() : line.error();
        else out.push_back({{row.integer(0)}, row.text(1), row.text(2), *outcome, *std::move(line)});
        return !trouble;
      });
  if (!read) return read.error();
  if (trouble) return *trouble;
  return out;
}

}  // namespace

Result<std::vector<Found>> Workshop::search(std::string_view typed, std::size_t most) const { return found(inside_->database, match_text(typed), most); }

Result<std::vector<Found>> Workshop::search_any(std::string_view typed, std::size_t most) const { return found(inside_->database, match_text(typed, " OR "), most); }

Result<std::optional<std::string>> Workshop::cached(const std::string& key) const { return inside_->database.text("SELECT bytes FROM cache WHERE key = ?1", {key}); }

Status Workshop::cache(const std::string& key, std::string_view bytes, std::int64_t most) {
  const Database& database = inside_->database;
  auto change = Transaction::begin(database, Transaction::For::writing);
  if (!change) return change.error();
  const Status put = database.run("INSERT OR REPLACE INTO cache(key, bytes, nr) VALUES(?1, ?2, (SELECT coalesce(max(nr), 0) + 1 FROM cache))", {key, Bytes{bytes}});
  if (!put) return put.error();
  const Status dropped = database.run(
      "DELETE FROM cache WHERE nr IN (SELECT nr FROM (SELECT nr, sum(length(bytes)) OVER (ORDER BY nr DESC) AS total FROM cache) WHERE total > ?1)", {most});
  if (!dropped) return dropped.error();
  return change->commit();
}

Status Workshop::empty_cache() { return inside_->database.run("DELETE FROM cache"); }

}  // namespace halfsplit::store
