#include "store/database.h"

#include <fcntl.h>
#include <fmt/core.h>
#include <sqlite3.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>
#include <utility>

namespace halfsplit::store {
namespace {

constexpr int kPatienceMs = 5000;
constexpr int kLongestValue = 64 << 20;
constexpr int kPagesAtOnce = 256;

class Statement {
 public:
  Statement(const Database& database, std::string_view sql) : database_(database) {
    code_ = sqlite3_prepare_v3(database.raw(), sql.data(), static_cast<int>(sql.size()), 0, &handle_, nullptr);
  }
  ~Statement() { sqlite3_finalize(handle_); }
  Statement(const Statement&) = delete;
  Statement& operator=(const Statement&) = delete;

  void bind(const std::vector<Bound>& bound) {
    for (std::size_t i = 0; i < bound.size() && code_ == SQLITE_OK; ++i) bind(static_cast<int>(i) + 1, bound[i]);
  }
  /// True on a row, false at the end.
  Result<bool> step() {
    if (code_ == SQLITE_OK) code_ = sqlite3_step(handle_);
    if (code_ == SQLITE_ROW) {
      code_ = SQLITE_OK;
      return true;
    }
    if (code_ == SQLITE_DONE) return false;
    return database_.trouble(code_);
  }
  Row row() const { return Row(handle_); }

 private:
  void bind(int place, const Bound& value) {
    if (const auto* integer = std::get_if<std::int64_t>(&value)) code_ = sqlite3_bind_int64(handle_, place, *integer);
    else if (const auto* text = std::get_if<std::string_view>(&value))
      code_ = sqlite3_bind_text64(handle_, place, text->data() ? text->data() : "", text->size(), SQLITE_STATIC, SQLITE_UTF8);
    else if (const auto* bytes = std::get_if<Bytes>(&value))
      code_ = sqlite3_bind_blob64(handle_, place, bytes->view.data() ? bytes->view.data() : "", bytes->view.size(), SQLITE_STATIC);
  }

  const Database& database_;
  sqlite3_stmt* handle_ = nullptr;
  int code_ = SQLITE_OK;
};

struct Switch { int option; int value; };
constexpr std::array kSwitches = {Switch{SQLITE_DBCONFIG_DEFENSIVE, 1},      Switch{SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0}, Switch{SQLITE_DBCONFIG_DQS_DML, 0},
                                  Switch{SQLITE_DBCONFIG_DQS_DDL, 0},        Switch{SQLITE_DBCONFIG_ENABLE_FKEY, 1},    Switch{SQLITE_DBCONFIG_ENABLE_TRIGGER, 0},
                                  Switch{SQLITE_DBCONFIG_ENABLE_VIEW, 0},    Switch{SQLITE_DBCONFIG_ENABLE_LOAD_EXTENSION, 0}};

/// A name of a file is a name, even where it looks like an address with options.
std::string plain_path(const std::string& path) { return path.starts_with('/') ? path : "./" + path; }

}  // namespace

std::int64_t Row::integer(int column) const { return sqlite3_column_int64(statement_, column); }

std::string Row::text(int column) const {
  const void* bytes = sqlite3_column_blob(statement_, column);
  const auto size = static_cast<std::size_t>(sqlite3_column_bytes(statement_, column));
  return bytes ? std::string(static_cast<const char*>(bytes), size) : std::string();
}

void Database::Close::operator()(sqlite3* handle) const { sqlite3_close_v2(handle); }
Database::Database(Database&&) noexcept = default;
Database& Database::operator=(Database&&) noexcept = default;
Database::~Database() = default;

Result<Database> Database::open(const std::string& path, Mode mode) {
  if (path.empty() || path.find('\0') != std::string::npos) return store_trouble("the workshop has no name that a file can have", "give the path of one file");
  sqlite3* raw = nullptr;
  const int flags = SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_EXRESCODE | (mode == Mode::create ? SQLITE_OPEN_CREATE : 0);
  const int code = sqlite3_open_v2(plain_path(path).c_str(), &raw, flags, nullptr);
  Database out(Handle(raw), path);
  if (!raw) return store_trouble("no memory to open " + path);
  if (code != SQLITE_OK) return out.trouble(code);
  if (const Status hard = out.harden(); !hard) return hard.error();
  return out;
}

Status Database::harden() const {
  for (const Switch& one : kSwitches) {
    int now = -1;
    const int code = sqlite3_db_config(raw(), one.option, one.value, &now);
    if (code != SQLITE_OK || now != one.value) return store_trouble(fmt::format("SQLite {} can't be made safe (option {})", sqlite3_libversion(), one.option), "use SQLite 3.40 or newer");
  }
  sqlite3_limit(raw(), SQLITE_LIMIT_LENGTH, kLongestValue);
  sqlite3_limit(raw(), SQLITE_LIMIT_ATTACHED, 0);
  sqlite3_busy_timeout(raw(), kPatienceMs);
  if (sqlite3_db_readonly(raw(), "main") == 1) return store_trouble(path_ + " can't be written", "check its permissions and those of its folder");
  return script("PRAGMA mmap_size = 0; PRAGMA cell_size_check = ON; PRAGMA synchronous = FULL;");
}

Status Database::run(std::string_view sql, const std::vector<Bound>& bound) const {
  return each(sql, bound, [](const Row&) { return true; });
}

Status Database::each(std::string_view sql, const std::vector<Bound>& bound, const std::function<bool(const Row&)>& take) const {
  Statement statement(*this, sql);
  statement.bind(bound);
  for (;;) {
    const auto more = statement.step();
    if (!more) return more.error();
    if (!*more || !take(statement.row())) return Done{};
  }
}

Result<std::optional<std::int64_t>> Database::integer(std::string_view sql, const std::vector<Bound>& bound) const {
  std::optional<std::int64_t> out;
  const Status read = each(sql, bound, [&](const Row& row) {
    out = row.integer(0);
    return false;
  });
  return read ? Result<std::optional<std::int64_t>>(out) : read.error();
}

Result<std::optional<std::string>> Database::text(std::string_view sql, const std::vector<Bound>& bound) const {
  std::optional<std::string> out;
  const Status read = each(sql, bound, [&](const Row& row) {
    out = row.text(0);
    return false;
  });
  return read ? Result<std::optional<std::string>>(std::move(out)) : read.error();
}

Result<std::optional<std::string>> Database::text_with_patience(std::string_view sql) const {
  for (int waited = 0;;) {
    auto out = text(sql);
    if (out || (sqlite3_extended_errcode(raw()) & 0xff) != SQLITE_BUSY || waited >= kPatienceMs) return out;
    waited += sqlite3_sleep(20);
  }
}

Status Database::script(const char* sql) const {
  const int code = sqlite3_exec(raw(), sql, nullptr, nullptr, nullptr);
  if (code != SQLITE_OK) return trouble(code);
  return Done{};
}

std::int64_t Database::changes() const { return sqlite3_changes64(raw()); }
std::int64_t Database::last_row() const { return sqlite3_last_insert_rowid(raw()); }

Error Database::trouble(int code) const {
  switch (code & 0xff) {
    case SQLITE_NOTADB: return store_trouble(path_ + " is not a workshop: no SQLite database", "name another file; this one is left as it is");
    case SQLITE_CORRUPT: return store_trouble(path_ + " is damaged", "keep it as it is, and go on with a copy made before");
    case SQLITE_BUSY:
    case SQLITE_LOCKED: return store_trouble(path_ + " is being written by another program", "nothing was changed; try again");
    case SQLITE_FULL: return store_trouble("the disk is full: " + path_ + " was not changed", "make room and type the line again");
    case SQLITE_READONLY: return store_trouble(path_ + " can't be written", "check its permissions and those of its folder");
    case SQLITE_CANTOPEN: return store_trouble(path_ + " can't be opened", "check that its folder is there and may be written");
    case SQLITE_IOERR: return store_trouble(fmt::format("{} can't be read or written ({})", path_, sqlite3_errstr(code)), "nothing was changed; check the disk and its free space");
    case SQLITE_TOOBIG: return store_trouble("too long for " + path_, "at most 64 MiB a value");
    default: return store_trouble(fmt::format("{}: {}", path_, sqlite3_errmsg(raw())), "it may be damaged, or changed by another program");
  }
}

namespace {

/// A file of our own making that is not left behind half-written.
class NewFile {
 public:
  explicit NewFile(const std::string& path) : path_(path), made_(::open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666)) {
    if (made_ >= 0) ::close(made_);
  }
  ~NewFile() {
    if (made_ >= 0 && !kept_) ::unlink(path_.c_str());
  }
  NewFile(const NewFile&) = delete;
  NewFile& operator=(const NewFile&) = delete;
  bool made() const { return made_ >= 0; }
  void keep() { kept_ = true; }

 private:
  const std::string& path_;
  int made_;
  bool kept_ = false;
};

}  // namespace

Status Database::copy_to(const std::string& path) const {
  NewFile file(path);
  if (!file.made()) return store_trouble(fmt::format("can't make {}: {}", path, std::strerror(errno)), "give the name of a file that isn't there yet");
  const auto target = open(path, Mode::existing);
  if (!target) return target.error();
  sqlite3_backup* backup = sqlite3_backup_init(target->raw(), "main", raw(), "main");
  if (!backup) return target->trouble(sqlite3_extended_errcode(target->raw()));
  int code = SQLITE_OK;
  for (int waited = 0; code == SQLITE_OK || ((code & 0xff) == SQLITE_BUSY && waited < kPatienceMs);) {
    code = sqlite3_backup_step(backup, kPagesAtOnce);
    if ((code & 0xff) == SQLITE_BUSY) waited += sqlite3_sleep(20);
  }
  sqlite3_backup_finish(backup);
  if (code != SQLITE_DONE) return target->trouble(code);
  file.keep();
  return Done{};
}

Result<Transaction> Transaction::begin(const Database& database, For purpose) {
  if (const Status begun = database.run(purpose == For::writing ? "BEGIN IMMEDIATE" : "BEGIN"); !begun) return begun.error();
  return Transaction(database);
}

Transaction::~Transaction() {
  if (database_ && !sqlite3_get_autocommit(database_->raw())) static_cast<void>(database_->run("ROLLBACK"));
}

Status Transaction::commit() {
  HS_REQUIRE(database_, "a transaction is committed once");
  if (const Status done = database_->run("COMMIT"); !done) return done.error();  // still open where it was busy: the destructor rolls back
  database_ = nullptr;
  return Done{};
}

}  // namespace halfsplit::store
