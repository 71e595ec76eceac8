// Plain characters first: what keyboards, telephones and word processors put into a line becomes what the rest of the module reads.
#include <fmt/core.h>

#include <array>

#include "base/text.h"
#include "observe/typed.h"

namespace halfsplit::observe {
namespace {

struct Plain { const char* odd; const char* plain; };
constexpr std::array kPlain = {
    Plain{"\u00b5", "u"},    Plain{"\u03bc", "u"},    Plain{"\u03a9", " ohm "}, Plain{"\u2126", " ohm "}, Plain{"\u2212", "-"},  Plain{"\u2013", "-"},
    Plain{"\u2014", " - "},  Plain{"\u2010", "-"},    Plain{"\u2011", "-"},     Plain{"\u00b1", " +/- "}, Plain{"\u2248", "~"},  Plain{"\u2265", ">="},
    Plain{"\u2264", "<="},   Plain{"\u2192", " -> "}, Plain{"\u00a0", " "},     Plain{"\u202f", " "},     Plain{"\u2009", " "},  Plain{"\u2018", "'"},
    Plain{"\u2019", "'"},    Plain{"\u201c", "\""},   Plain{"\u201d", "\""},    Plain{"\u2026", ".."},    Plain{"\u00b0", " deg "},
    Plain{"\u221e", " OL "}, Plain{"\xef\xbb\xbf", ""}};

/// Length of the well-formed UTF-8 sequence at the front, 0 when broken.
std::size_t sequence_length(std::string_view text) {
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
  if (byte(0) < 0x80) return 1;
  const std::size_t length = byte(0) >= 0xf0 ? 4 : byte(0) >= 0xe0 ? 3 : 2;
  if (byte(0) < 0xc2 || byte(0) > 0xf4 || text.size() < length) return 0;
  for (std::size_t i = 1; i < length; ++i)
    if ((byte(i) & 0xc0) != 0x80) return 0;
  const bool overlong = (byte(0) == 0xe0 && byte(1) < 0xa0) || (byte(0) == 0xf0 && byte(1) < 0x90);
  const bool surrogate = byte(0) == 0xed && byte(1) > 0x9f;
  return overlong || surrogate || (byte(0) == 0xf4 && byte(1) > 0x8f) ? 0 : length;
}

const Plain* plain_at(std::string_view text) {
  for (const Plain& entry : kPlain)
    if (starts_with(text, entry.odd)) return &entry;
  return nullptr;
}

}  // namespace

Result<std::string> clean_line(std::string_view typed) {
  if (typed.size() > kLongestLine)
    return usage(fmt::format("the line has {} characters; a reading has at most {}", typed.size(), kLongestLine), "one reading a line");
  std::string out;
  out.reserve(typed.size());
  for (std::size_t i = 0; i < typed.size();) {
    const std::string_view rest = typed.substr(i);
    const auto byte = static_cast<unsigned char>(rest[0]);
    if (const Plain* entry = byte >= 0x80 ? plain_at(rest) : nullptr) {
      out += entry->plain;
      i += std::string_view(entry->odd).size();
      continue;
    }
    const std::size_t length = sequence_length(rest);
    const bool control = (byte < 0x20 && byte != '\t' && byte != '\r' && byte != '\n') || byte == 0x7f;
    const bool inner_newline = (byte == '\r' || byte == '\n') && !trim(rest).empty();
    if (length == 0 || control || inner_newline)
      return usage(fmt::format("character {} of the line can't be read (byte {:02x})", i + 1, byte), "type a reading as one line of plain text");
    if (length == 1 && byte <= 0x20) out += ' ';
    else if (!(byte == '\\' && rest.size() > 1 && rest[1] == '-')) out += rest.substr(0, length);
    i += length;
  }
  return std::string(trim(out));
}

}  // namespace halfsplit::observe
