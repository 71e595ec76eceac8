#include "app/desk.h"

#include <algorithm>
#include <filesystem>

#include "app/learned.h"
#include "base/random.h"

namespace halfsplit::app {
namespace {

/// The workshop's cache as the place for a machine's table. Trouble with it only costs time.
class InWorkshop final : public predict::TableKeeper {
 public:
  InWorkshop(store::Workshop& workshop, std::string key) : workshop_(workshop), key_(std::move(key)) {}
  std::optional<std::string> load() override {
    auto kept = workshop_.cached(key_);
    return kept ? std::move(kept).value() : std::nullopt;
  }
  void keep(std::string_view bytes) override { static_cast<void>(workshop_.cache(key_, bytes)); }

 private:
  store::Workshop& workshop_;
  const std::string key_;
};

/// The program as it is built now: another build may answer otherwise.
std::string build_mark(const std::string& program) {
  std::error_code failed;
  const auto size = std::filesystem::file_size(program, failed);
  if (failed) return "unknown";
  const auto changed = std::filesystem::last_write_time(program, failed).time_since_epoch().count();
  return std::to_string(size) + "." + std::to_string(changed);
}

}  // namespace

Result<store::Workshop*> Desk::workshop() {
  if (workshop_) return &*workshop_;
  if (const Status made = make_folder_of(places_.workshop); !made) return made.error();
  auto opened = store::Workshop::open(places_.workshop);
  if (!opened) return opened.error();
  workshop_.emplace(std::move(opened).value());
  return &*workshop_;
}

Result<std::optional<job::Job>> Desk::current_job() {
  std::error_code ignored;
  if (!workshop_ && !std::filesystem::exists(places_.workshop, ignored)) return std::optional<job::Job>();
  const auto shop = workshop();
  if (!shop) return shop.error();
  const auto id = (*shop)->current();
  if (!id) return id.error();
  if (!id.value()) return std::optional<job::Job>();
  auto job = (*shop)->load(**id);
  if (!job) return job.error();
  return std::optional<job::Job>(std::move(job).value());
}

Result<std::unique_ptr<Sitting>> Desk::sit(job::Job job) {
  auto sitting = Sitting::of(places_, std::move(job));
  if (!sitting) return sitting.error();
  Sitting& it = **sitting;
  const auto shop = workshop();
  if (!shop) return shop.error();
  if (!(it.job().hashes == it.hashes()) && it.lost().empty())
    if (const Status kept = (*shop)->rehash(it.job(), it.machine().revision(), it.hashes()); !kept) return kept.error();
  auto good = (*shop)->good_readings(it.job().machine, it.job().id);
  if (!good) return good.error();
  it.know_good(*good);
  if (const Status kept = keep_table(it); !kept) return kept.error();
  auto learned = beliefs_for(**shop, it);
  if (!learned) return learned.error();
  it.learn_from(std::move(learned).value());
  return sitting;
}

Status Desk::keep_table(Sitting& sitting) {
  const auto shop = workshop();
  if (!shop) return shop.error();
  const job::Hashes& now = sitting.hashes();
  sitting.model().keep_table_in(std::make_unique<InWorkshop>(**shop, "table " + hex(now.board) + " " + hex(now.parts) + " " + build_mark(places_.program)));
  return Done{};
}

Result<std::unique_ptr<Sitting>> Desk::look_back(job::Job job, std::size_t lines) {
  ModelShelf shelf(places_);
  return look_back(std::move(job), lines, shelf);
}

Result<std::unique_ptr<Sitting>> Desk::look_back(job::Job job, std::size_t lines, ModelShelf& shelf) {
  job.lines.resize(std::min(lines, job.lines.size()));
  auto sitting = Sitting::of(places_, std::move(job), shelf);
  if (!sitting) return sitting.error();
  if (const Status kept = keep_table(**sitting); !kept) return kept.error();
  return sitting;
}

Result<std::unique_ptr<Sitting>> Desk::sit() {
  auto job = current_job();
  if (!job) return job.error();
  if (!job.value()) return not_found("no job is open", "begin one: halfsplit job open MACHINE (halfsplit boards lists the machines)");
  return sit(std::move(**job));
}

}  // namespace halfsplit::app
