// store/database.h - one SQLite connection, hardened at opening; statements and transactions that clean up after themselves.
//
// Owns:     the connection. Text and bytes bound to a statement must live until it has run.
// Errors:   store, with the file's name and how to go on; a broken statement of ours too.
// Threads:  one connection a thread.
// Start at: Database::open(), run(), each(), Transaction.
#pragma once
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "base/result.h"

struct sqlite3;
struct sqlite3_stmt;

namespace halfsplit::store {

struct Bytes { std::string_view view; };
/// What a statement's ?1, ?2... stand for.
using Bound = std::variant<std::int64_t, std::string_view, Bytes>;

/// The row that a statement stands on; columns count from 0.
class Row {
 public:
  explicit Row(sqlite3_stmt* statement) : statement_(statement) {}
  std::int64_t integer(int column) const;
  std::string text(int column) const;  ///< text or bytes, whole

 private:
  sqlite3_stmt* statement_;
};

class Database {
 public:
  enum class Mode { create, existing };
  /// Opens for reading and writing and sets every guard; nothing of the file is changed.
  static Result<Database> open(const std::string& path, Mode mode);
  Database(Database&&) noexcept;
  Database& operator=(Database&&) noexcept;
  ~Database();

  const std::string& path() const { return path_; }
  /// Runs one statement, whatever rows it gives.
  Status run(std::string_view sql, const std::vector<Bound>& bound = {}) const;
  /// Calls `take` per row; it returns false to stop.
  Status each(std::string_view sql, const std::vector<Bound>& bound, const std::function<bool(const Row&)>& take) const;
  /// First column of the first row, or nothing.
  Result<std::optional<std::int64_t>> integer(std::string_view sql, const std::vector<Bound>& bound = {}) const;
  Result<std::optional<std::string>> text(std::string_view sql, const std::vector<Bound>& bound = {}) const;
  /// The same for a statement that SQLite refuses at once instead of waiting for other programs (a change of the journal mode): tried again as long.
  Result<std::optional<std::string>> text_with_patience(std::string_view sql) const;
  /// Runs several statements without bound values.
  Status script(const char* sql) const;
  /// Rows changed by the last statement.
  std::int64_t changes() const;
  std::int64_t last_row() const;
  /// Copies everything into a new file; refuses one that exists.
  Status copy_to(const std::string& path) const;
  sqlite3* raw() const { return handle_.get(); }
  /// What went wrong last, for people.
  Error trouble(int code) const;

 private:
  struct Close { void operator()(sqlite3* handle) const; };
  using Handle = std::unique_ptr<sqlite3, Close>;
  Database(Handle handle, std::string path) : handle_(std::move(handle)), path_(std::move(path)) {}
  Status harden() const;
  Handle handle_;
  std::string path_;
};

/// A unit of change: written whole by commit(), else not at all. A writer begins as one, for a reader that turns writer isn't let wait.
class Transaction {
 public:
  enum class For { reading, writing };
  static Result<Transaction> begin(const Database& database, For purpose);
  Transaction(Transaction&& other) noexcept : database_(std::exchange(other.database_, nullptr)) {}
  Transaction& operator=(Transaction&&) = delete;
  ~Transaction();
  Status commit();

 private:
  explicit Transaction(const Database& database) : database_(&database) {}
  const Database* database_;  ///< nullptr when over
};

}  // namespace halfsplit::store
