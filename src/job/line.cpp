#include "job/line.h"

#include <fmt/core.h>

#include <array>

#include "base/scan.h"
#include "base/text.h"
#include "job/ending.h"
#include "job/options.h"

namespace halfsplit::job {
namespace {

constexpr std::array<const char*, 14> kWords = {"profile", "answer", "amend", "tools", "symptom", "state", "read", "swap", "repair", "note", "want", "leave", "cannot", "close"};

/// Kinds whose whole syntax is the job's own.
Status check_syntax(LineKind kind, std::string_view typed) {
  if (kind == LineKind::profile)
    if (const auto profile = parse_profile(typed); !profile) return profile.error();
  if (kind == LineKind::answer)
    if (const auto answer = parse_answer(typed); !answer) return answer.error();
  if (kind == LineKind::want)
    if (const auto want = parse_want(typed); !want) return want.error();
  if (kind == LineKind::leave)
    if (const auto left = parse_left(typed); !left) return left.error();
  if (kind == LineKind::close)
    if (const auto ending = parse_ending(typed); !ending) return ending.error();
  return Done{};
}

}  // namespace

const char* name_of(LineKind kind) noexcept { return kWords[static_cast<std::size_t>(kind)]; }

std::optional<LineKind> line_kind(std::string_view word) {
  for (std::size_t i = 0; i < kWords.size(); ++i)
    if (word == kWords[i]) return static_cast<LineKind>(i);
  return std::nullopt;
}

const std::vector<std::string>& line_words() {
  static const std::vector<std::string> all(kWords.begin(), kWords.end());
  return all;
}

Result<std::string> one_line(std::string_view text, std::string_view what) {
  if (text.size() > kLongestLine) return usage(fmt::format("the {} has {} bytes; at most {} are kept", what, text.size(), kLongestLine), "say it in several lines");
  if (const std::size_t good = utf8_length(text); good != text.size())
    return usage(fmt::format("the {} is not plain text: byte {} is not UTF-8", what, good + 1), "type it again");
  std::string out(text);
  for (std::size_t i = 0; i < out.size(); ++i) {
    const auto byte = static_cast<unsigned char>(out[i]);
    if (byte == '\t' || byte == '\n' || byte == '\r') out[i] = ' ';
    else if (byte < 0x20 || byte == 0x7f) return usage(fmt::format("the {} holds a control character (byte {}: {:02x})", what, i + 1, byte), "type it again");
  }
  return std::string(trim(out));
}

Result<Line> make_line(LineKind kind, std::string_view typed, std::string when) {
  auto text = one_line(typed, name_of(kind));
  if (!text) return text.error();
  if (text->empty()) return usage(fmt::format("nothing follows {}", name_of(kind)), fmt::format("type {} and what there is to tell", name_of(kind)));
  if (const Status good = check_syntax(kind, *text); !good) return good.error();
  Line line;
  line.kind = kind;
  line.typed = *std::move(text);
  line.when = std::move(when);
  return line;
}

Symptom symptom_in(const Line& line) {
  constexpr std::string_view kAbout = "--about";
  const auto pieces = words(line.typed);
  if (pieces.size() < 2 || pieces[0] != kAbout) return {{}, line.typed};
  const char* behind = pieces[1].data() + pieces[1].size();
  return {std::string(pieces[1]), std::string(trim({behind, static_cast<std::size_t>(line.typed.data() + line.typed.size() - behind)}))};
}

}  // namespace halfsplit::job
