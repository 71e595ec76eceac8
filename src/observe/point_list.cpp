// Lists of points: "A0..A15", "U5.2..9", "U5 pins 11 and 13", "A0, A1 and A5".
#include <algorithm>
#include <charconv>

#include <fmt/core.h>

#include "base/text.h"
#include "observe/point_finder.h"

namespace halfsplit::observe {
namespace {

constexpr std::size_t kMostInList = 64;

/// "A15" -> {"A", 15, two digits}.
struct Numbered { std::string_view head; int number = 0; std::size_t digits = 0; };

std::optional<Numbered> numbered(std::string_view text) {
  std::size_t at = text.size();
  while (at > 0 && text[at - 1] >= '0' && text[at - 1] <= '9') --at;
  Numbered out{text.substr(0, at), 0, text.size() - at};
  if (out.digits == 0 || out.digits > 4) return std::nullopt;
  std::from_chars(text.data() + at, text.data() + text.size(), out.number);
  return out;
}

/// Cuts at commas and "and"; at blanks where neither is there.
std::vector<std::string_view> entries(std::string_view text) {
  std::vector<std::string_view> out;
  for (std::string_view piece : split(text, ',')) {
    for (std::size_t at = piece.find(" and "); at != std::string_view::npos; at = piece.find(" and ")) {
      out.push_back(trim(piece.substr(0, at)));
      piece = piece.substr(at + 5);
    }
    piece = trim(piece);
    if (starts_with(piece, "and ")) piece = trim(piece.substr(4));
    if (!piece.empty()) out.push_back(piece);
  }
  if (out.size() == 1 && text.find("..") == std::string_view::npos && text.find(" to ") == std::string_view::npos && text.find(" - ") == std::string_view::npos) return words(text);
  return out;
}

std::optional<std::pair<std::string_view, std::string_view>> range_cut(std::string_view text) {
  for (const std::string_view joint : {"...", "..", " to ", " through ", " - ", "-"})
    if (const std::size_t at = text.find(joint, 1); at != std::string_view::npos) return std::pair(trim(text.substr(0, at)), trim(text.substr(at + joint.size())));
  return std::nullopt;
}

}  // namespace

/// first..last with one head and rising numbers; `last` may leave the head out ("U5.2..9").
std::vector<Point> PointFinder::numbered_list(std::string_view first, std::string_view last) {
  const auto a = numbered(first), b = numbered(last);
  if (!a || !b || (!b->head.empty() && lower(b->head) != lower(a->head)) || b->number <= a->number || static_cast<std::size_t>(b->number - a->number) >= kMostInList) return {};
  std::vector<Point> out;
  for (int n = a->number; n <= b->number; ++n) {
    const bool padded = first[a->head.size()] == '0' && a->digits > 1;
    const auto found = find(padded ? fmt::format("{}{:0{}}", a->head, n, a->digits) : fmt::format("{}{}", a->head, n));
    if (found.size() != 1 || (!out.empty() && found.front().at != out.front().at)) return {};
    out.push_back(found.front());
  }
  return out;
}

std::vector<Point> PointFinder::find_list(std::string_view whole) {
  std::string_view text = trim(whole);
  while (!text.empty() && text.front() == '@') text = trim(text.substr(1));
  std::string head;  // "U5." for "U5 pins 2-9"
  std::string inner(text);
  const std::size_t pins = lower(text).find("pins ");
  if (pins != std::string::npos && pins > 0) {
    const std::string_view ref = trim(text.substr(0, pins));
    head = std::string(trim(ends_with(ref, "(") ? ref.substr(0, ref.size() - 1) : ref)) + ".";
    inner = std::string(trim(text.substr(pins + 5)));
    if (!inner.empty() && inner.back() == ')') inner.pop_back();
  }
  std::vector<Point> out;
  std::string stem = head;
  for (const std::string_view entry : entries(inner)) {
    std::vector<Point> found;
    if (const auto cut = range_cut(entry)) found = numbered_list(head + std::string(cut->first), cut->second);
    if (found.empty()) found = find(head + std::string(entry));
    if (found.size() > 1 && found.front().at != Point::At::leg && !range_cut(entry)) return {};
    if (found.empty() && !stem.empty()) found = find(stem + std::string(entry));
    if (found.empty()) return {};
    const std::size_t dot = entry.rfind('.');
    if (dot != std::string_view::npos) stem = std::string(entry.substr(0, dot + 1));
    out.insert(out.end(), found.begin(), found.end());
    if (out.size() > kMostInList) return {};
  }
  if (out.size() < 2) return {};
  return out;
}

}  // namespace halfsplit::observe
