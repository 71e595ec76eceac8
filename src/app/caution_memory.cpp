#include "app/caution_memory.h"

#include <algorithm>
#include <charconv>
#include <chrono>
#include <optional>

#include "base/random.h"
#include "base/text.h"

namespace halfsplit::app {
namespace {

constexpr long kPause = 6 * 60;  ///< minutes

/// Minutes since 1970; nothing for what is no time.
std::optional<long> minutes_of(const std::string& time) {
  const auto number = [&](std::size_t at, std::size_t length) -> std::optional<int> {
    if (time.size() < at + length) return std::nullopt;
    int out = 0;
    const char* begin = time.data() + at;
    const auto [end, failed] = std::from_chars(begin, begin + length, out);
    return failed == std::errc() && end == begin + length ? std::optional(out) : std::nullopt;
  };
  const auto year = number(0, 4), month = number(5, 2), day = number(8, 2), hour = number(11, 2), minute = number(14, 2);
  if (!year || !month || !day || !hour || !minute) return std::nullopt;
  const std::chrono::year_month_day date{std::chrono::year(*year), std::chrono::month(static_cast<unsigned>(*month)), std::chrono::day(static_cast<unsigned>(*day))};
  if (!date.ok()) return std::nullopt;
  return static_cast<long>(std::chrono::sys_days(date).time_since_epoch().count()) * 24 * 60 + *hour * 60 + *minute;
}

std::string joined(const std::vector<std::string>& sentences) { return join(sentences, " "); }

}  // namespace

std::string brief(const std::string& caution) {
  const std::size_t end = caution.find(". ");
  return end == std::string::npos ? caution : caution.substr(0, end + 1);
}

bool same_sitting(const std::string& earlier, const std::string& later) {
  const auto a = minutes_of(earlier), b = minutes_of(later);
  return a && b && *b - *a < kPause && *b >= *a;
}

CautionMemory::CautionMemory(store::Workshop& shop, job::JobId job, std::string now) : shop_(shop), key_("cautions " + std::to_string(job.number)), now_(std::move(now)) {
  const auto kept = shop_.cached(key_);
  if (!kept || !kept.value()) return;
  const std::string text = **kept;
  const auto lines = split(text, '\n');
  if (lines.empty() || !same_sitting(std::string(lines.front()), now_)) return;
  for (std::size_t i = 1; i < lines.size(); ++i) known_.emplace(lines[i]);
}

CautionMemory::~CautionMemory() {
  if (!changed_) return;
  std::string text = now_;
  for (const std::string& one : known_) text += "\n" + one;
  static_cast<void>(shop_.cache(key_, text));  // not kept: told in full again
}

std::string CautionMemory::told(const std::string& caution) {
  const std::string mark = hex(content_hash(caution));
  if (known_.count(mark) != 0) return brief(caution);
  known_.insert(mark);
  changed_ = true;
  return caution;
}

void CautionMemory::shorten(std::vector<std::string>& cautions) {
  for (std::string& one : cautions) one = told(one);
}

void CautionMemory::shorten(report::Next& next, std::size_t shown) {
  shorten(next.slip.cautions);
  if (next.act == report::Next::Act::repair) shorten(next.handling);
  for (std::size_t i = 0; i < std::min(shown, next.tests.size()); ++i) {
    report::TestLine& test = next.tests[i];
    if (test.cautions.empty()) continue;
    shorten(test.cautions);
    test.caution = joined(test.cautions);
  }
}

}  // namespace halfsplit::app
