#include "netlist/clean_text.h"

#include <cstdint>

#include "base/scan.h"

namespace halfsplit::netlist {

namespace {

void append_code_point(std::string& out, std::uint32_t point) {
  if (point < 0x80) {
    out += static_cast<char>(point);
  } else if (point < 0x800) {
    out += static_cast<char>(0xc0 | (point >> 6));
    out += static_cast<char>(0x80 | (point & 0x3f));
  } else if (point < 0x10000) {
    out += static_cast<char>(0xe0 | (point >> 12));
    out += static_cast<char>(0x80 | ((point >> 6) & 0x3f));
    out += static_cast<char>(0x80 | (point & 0x3f));
  } else {
    out += static_cast<char>(0xf0 | (point >> 18));
    out += static_cast<char>(0x80 | ((point >> 12) & 0x3f));
    out += static_cast<char>(0x80 | ((point >> 6) & 0x3f));
    out += static_cast<char>(0x80 | (point & 0x3f));
  }
}

std::string from_utf16(std::string_view bytes, bool little) {
  constexpr std::uint32_t kReplacement = 0xfffd;
  const auto unit = [&](std::size_t i) {
    const auto a = static_cast<unsigned char>(bytes[i]), b = static_cast<unsigned char>(bytes[i + 1]);
    return static_cast<std::uint32_t>(little ? a | (b << 8) : b | (a << 8));
  };
  std::string out;
  out.reserve(bytes.size() / 2);
  for (std::size_t i = 0; i + 1 < bytes.size(); i += 2) {
    std::uint32_t point = unit(i);
    const bool pair = point >= 0xd800 && point < 0xdc00 && i + 3 < bytes.size() && unit(i + 2) >= 0xdc00 && unit(i + 2) < 0xe000;
    if (pair) {
      point = 0x10000 + ((point - 0xd800) << 10) + (unit(i + 2) - 0xdc00);
      i += 2;
    } else if (point >= 0xd800 && point < 0xe000) {
      point = kReplacement;
    }
    append_code_point(out, point);
  }
  return out;
}

std::string from_single_bytes(std::string_view bytes) {
  std::string out;
  out.reserve(bytes.size() + bytes.size() / 8);
  for (const char c : bytes) append_code_point(out, static_cast<unsigned char>(c));
  return out;
}

/// Takes the mark off; true when there was one.
bool take(std::string_view& text, std::string_view head) {
  if (text.substr(0, head.size()) != head) return false;
  text.remove_prefix(head.size());
  return true;
}

std::size_t first_control(std::string_view text) {
  for (std::size_t i = 0; i < text.size(); ++i) {
    const auto byte = static_cast<unsigned char>(text[i]);
    if (byte == 0x7f || (byte < 0x20 && byte != '\t' && byte != '\n' && byte != '\r' && byte != '\f')) return i;
  }
  return text.size();
}

}  // namespace

Result<std::string> clean_text(std::string_view bytes, const std::string& file, Deviations& deviations) {
  if (bytes.size() > kMostBoardFileBytes) {
    Place whole;
    whole.file = file;
    return bad_input("is over 32 MiB", whole, "the netlist of a large board takes less than 1 MiB: is it the right file?");
  }
  std::string text;
  std::string_view rest = bytes;
  if (take(rest, "\xff\xfe")) {
    text = from_utf16(rest, true);
    deviations.add(DeviationKind::text_utf16, 1, 1);
  } else if (take(rest, "\xfe\xff")) {
    text = from_utf16(rest, false);
    deviations.add(DeviationKind::text_utf16, 1, 1);
  } else {
    if (take(rest, "\xef\xbb\xbf")) deviations.add(DeviationKind::byte_order_mark, 1, 1);
    text = utf8_length(rest) == rest.size() ? std::string(rest) : from_single_bytes(rest);
  }
  while (!text.empty() && text.back() == '\x1a') text.pop_back();
  const std::size_t bad = first_control(text);
  if (bad < text.size()) {
    const std::string what = text[bad] == '\0' ? "a NUL byte" : "a control character";
    return bad_input(what + ": this is not a text file", place_at(text, bad, file), "export the netlist or parts list as plain text");
  }
  return text;
}

bool Lines::next(std::string_view& line) {
  if (rest_.empty()) return false;
  const std::size_t end = rest_.find_first_of("\r\n");
  line = rest_.substr(0, end);
  ++number_;
  if (end == std::string_view::npos) {
    rest_ = {};
    return true;
  }
  const bool pair = rest_[end] == '\r' && end + 1 < rest_.size() && rest_[end + 1] == '\n';
  rest_.remove_prefix(end + (pair ? 2 : 1));
  return true;
}

}  // namespace halfsplit::netlist
