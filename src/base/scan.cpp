#include "base/scan.h"

namespace halfsplit {

namespace {

/// Length of the well-formed UTF-8 sequence at the start of `text` (Unicode 15, table 3-7), or 0.
std::size_t sequence_length(std::string_view text) {
  const auto byte = [&](std::size_t i) { return i < text.size() ? static_cast<unsigned char>(text[i]) : 0u; };
  const auto follows = [&](std::size_t i) { return (byte(i) & 0xc0u) == 0x80u; };
  const unsigned first = byte(0);
  if (first < 0x80) return 1;
  if (first < 0xc2 || first > 0xf4) return 0;
  if (first < 0xe0) return follows(1) ? 2 : 0;
  if (first < 0xf0) {
    const bool overlong = first == 0xe0 && byte(1) < 0xa0, surrogate = first == 0xed && byte(1) > 0x9f;
    return follows(1) && follows(2) && !overlong && !surrogate ? 3 : 0;
  }
  const bool overlong = first == 0xf0 && byte(1) < 0x90, too_high = first == 0xf4 && byte(1) > 0x8f;
  return follows(1) && follows(2) && follows(3) && !overlong && !too_high ? 4 : 0;
}

/// Walks TOML text far enough to tell strings and comments from the rest.
class Scanner {
 public:
  Scanner(std::string_view text, const std::string& file) : text_(text), file_(file) {}

  Status run() {
    while (at_ < text_.size()) {
      const char c = text_[at_];
      if (c == '#') skip_comment();
      else if (c == '"' || c == '\'') skip_string(c);
      else if (Status status = plain(c); !status.ok()) return status;
    }
    return Done{};
  }

 private:
  Status plain(char c) {
    switch (c) {
      case '[':
      case '{':
        dots_ = 0;
        if (++open_ > kMostBrackets) return refuse("more than 32 brackets are open here", "no file of ours nests that deep");
        break;
      case ']':
      case '}':
        dots_ = 0;
        if (open_ > 0) --open_;
        break;
      case '\n':
      case '=':
      case ',': dots_ = 0; break;
      case '.':
        if (++dots_ >= kMostSegments) return refuse("a key of more than 32 dotted segments", "no key of ours is that long");
        break;
      default: break;
    }
    ++at_;
    return Done{};
  }

  void skip_comment() {
    const std::size_t end = text_.find('\n', at_);
    at_ = end == std::string_view::npos ? text_.size() : end;
  }

  void skip_string(char quote) {
    if (text_.substr(at_, 3) == std::string(3, quote)) return skip_long_string(quote);
    for (++at_; at_ < text_.size() && text_[at_] != '\n'; ++at_) {
      if (text_[at_] == quote) { ++at_; return; }
      if (text_[at_] == '\\' && quote == '"') ++at_;
    }
  }

  void skip_long_string(char quote) {
    std::size_t run = 0;  // quotes seen in a row
    for (at_ += 3; at_ < text_.size(); ++at_) {
      const char c = text_[at_];
      if (c == quote && ++run == 3) {
        ++at_;
        for (int extra = 0; extra < 2 && at_ < text_.size() && text_[at_] == quote; ++extra) ++at_;
        return;
      }
      if (c != quote) run = 0;
      if (c == '\\' && quote == '"') ++at_;
    }
  }

  Status refuse(const char* what, const char* hint) const { return bad_input(what, place_at(text_, at_, file_), hint); }

  std::string_view text_;
  const std::string& file_;
  std::size_t at_ = 0;
  std::size_t dots_ = 0;
  std::size_t open_ = 0;
};

}  // namespace

std::size_t utf8_length(std::string_view text) {
  std::size_t at = 0;
  while (at < text.size()) {
    const std::size_t length = sequence_length(text.substr(at, 4));
    if (length == 0) return at;
    at += length;
  }
  return at;
}

Place place_at(std::string_view text, std::size_t offset, const std::string& file) {
  Place place{file, 1, 1};
  for (const char c : text.substr(0, offset)) {
    if (c == '\n') {
      ++place.line;
      place.column = 1;
    } else if ((static_cast<unsigned char>(c) & 0xc0u) != 0x80u) {
      ++place.column;
    }
  }
  return place;
}

Status scan_document(std::string_view text, const std::string& file) {
  if (text.size() > kMostDocumentBytes)
    return bad_input("is over 8 MiB", Place{file, 0, 0}, "files written by hand are far smaller: is it the right file?");
  if (const std::size_t nul = text.find('\0'); nul != std::string_view::npos)
    return bad_input("holds a NUL byte", place_at(text, nul, file), "this is not a text file, or it is UTF-16: save it as UTF-8");
  if (const std::size_t good = utf8_length(text); good < text.size())
    return bad_input("is not valid UTF-8 from here on", place_at(text, good, file), "save the file as UTF-8");
  return Scanner(text, file).run();
}

}  // namespace halfsplit
