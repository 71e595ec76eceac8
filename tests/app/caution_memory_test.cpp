// The full caution once in a sitting, one sentence afterwards.
#include "app/caution_memory.h"

#include <doctest/doctest.h>

#include <filesystem>

using namespace halfsplit;

TEST_CASE("a caution is told in full once in a sitting") {
  const auto file = std::filesystem::temp_directory_path() / "halfsplit-caution-test.db";
  for (const char* tail : {"", "-wal", "-shm"}) std::filesystem::remove(file.string() + tail);
  auto shop = store::Workshop::open(file.string());
  REQUIRE(shop.ok());
  const std::string full = "Runs hot; let it cool. A slip of the probe does harm.";
  const auto tell = [&](std::int64_t job, const char* now) { return app::CautionMemory(*shop, job::JobId{job}, now).told(full); };
  CHECK(tell(1, "2026-11-25T10:00:00Z") == full);
  CHECK(tell(1, "2026-11-25T10:05:00Z") == "Runs hot; let it cool.");
  CHECK(tell(2, "2026-11-25T10:05:00Z") == full);
  CHECK(tell(1, "2026-11-26T09:00:00Z") == full);
  for (const char* tail : {"", "-wal", "-shm"}) std::filesystem::remove(file.string() + tail);
}

TEST_CASE("a sitting ends with a long pause") {
  CHECK(app::same_sitting("2026-11-25T23:30:00Z", "2026-11-26T01:00:00Z"));
  CHECK_FALSE(app::same_sitting("2026-11-25T10:00:00Z", "2026-11-25T16:30:00Z"));
  CHECK_FALSE(app::same_sitting("yesterday", "2026-11-25T16:30:00Z"));
  CHECK(app::brief("One sentence only") == "One sentence only");
}
