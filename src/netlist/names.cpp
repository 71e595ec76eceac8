#include "netlist/names.h"

#include <algorithm>
#include <array>
#include <utility>

#include "base/text.h"

namespace halfsplit::netlist {

namespace {

constexpr std::size_t kFieldWidth = 14;  // a name this long may have lost its head

bool is_digit(char c) { return c >= '0' && c <= '9'; }
bool all_digits(std::string_view text) { return !text.empty() && std::all_of(text.begin(), text.end(), is_digit); }

constexpr std::array<std::pair<std::string_view, std::string_view>, 11> kEscapes = {{
    {"slash", "/"}, {"backslash", "\\"}, {"lt", "<"}, {"gt", ">"}, {"colon", ":"}, {"dblquote", "\""},
    {"space", " "}, {"tab", " "}, {"return", " "}, {"brace", "{"}, {"bar", "|"},
}};

/// The sign an escape stands for; nothing when the word is none.
std::optional<std::string_view> escape_sign(std::string_view word) {
  const std::string small = lower(word);
  for (const auto& [name, sign] : kEscapes)
    if (small == name) return sign;
  return std::nullopt;
}

/// Names cut at their head can begin inside an escape: "ASH}RST" was "...{SLASH}RST", "Y7}" was "~{Y7}".
std::string mend_head(std::string_view name) {
  const std::size_t close = name.find('}'), open = name.find('{');
  if (close == std::string_view::npos || (open != std::string_view::npos && open < close)) return std::string(name);
  const std::string_view head = name.substr(0, close);
  if (head.size() < 5 && ends_with("slash", lower(head))) return "{slash}" + std::string(name.substr(close + 1));
  return "~{" + std::string(name);
}

/// Escapes to signs; marks of overbars stay. A cut "{NMI}" is an overbar.
std::string decode_escapes(std::string_view name) {
  std::string out;
  for (std::size_t i = 0; i < name.size(); ++i) {
    if (name[i] == '?') {
      out += '_';
      continue;
    }
    const std::size_t close = name[i] == '{' ? name.find('}', i) : std::string_view::npos;
    const bool bar = i > 0 && name[i - 1] == '~';
    if (close == std::string_view::npos || bar) {
      out += name[i];
      continue;
    }
    const std::string_view word = name.substr(i + 1, close - i - 1);
    if (const auto sign = escape_sign(word)) {
      out += *sign;
      i = close;
    } else {
      if (i == 0) out += '~';
      out += '{';
    }
  }
  return out;
}

/// Takes "#3" or "{3}" off the end; returns the digits.
std::string take_number(std::string_view& name, bool& hash) {
  hash = false;
  if (name.size() > 3 && name.back() == '}') {
    const std::size_t open = name.rfind('{');
    if (open != std::string_view::npos && open > 0 && name[open - 1] != '~' && all_digits(name.substr(open + 1, name.size() - open - 2))) {
      std::string digits(name.substr(open + 1, name.size() - open - 2));
      name = name.substr(0, open);
      return digits;
    }
  }
  const std::size_t mark = name.rfind('#');
  if (mark != std::string_view::npos && mark > 0 && all_digits(name.substr(mark + 1))) {
    hash = true;
    std::string digits(name.substr(mark + 1));
    name = name.substr(0, mark);
    return digits;
  }
  return {};
}

/// Where the leaf begins: after the last "/" that is neither in braces nor at the very end.
std::size_t leaf_start(std::string_view name) {
  std::size_t start = 0;
  int depth = 0;
  for (std::size_t i = 0; i + 1 < name.size(); ++i) {
    if (name[i] == '{') ++depth;
    else if (name[i] == '}' && depth > 0) --depth;
    else if (name[i] == '/' && depth == 0) start = i + 1;
  }
  return start;
}

std::string_view strip_slashes(std::string_view path) {
  while (!path.empty() && path.front() == '/') path.remove_prefix(1);
  while (!path.empty() && path.back() == '/') path.remove_suffix(1);
  return path;
}

}  // namespace

std::string with_bars(std::string_view name) {
  std::string text(trim(name));
  // per-letter marks, "R\A\S\", or one at the end
  if (text.size() > 1 && text.back() == '\\') {
    text.erase(std::remove(text.begin(), text.end(), '\\'), text.end());
    return text.empty() ? std::string(name) : "/" + text;
  }
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const std::size_t close = text.compare(i, 2, "~{") == 0 ? text.find('}', i) : std::string::npos;
    if (close != std::string::npos) {
      out += '/';
      out.append(text, i + 2, close - i - 2);
      i = close;
    } else {
      out += text[i];
    }
  }
  if (out.size() > 1 && out.front() == '~' && out.find('~', 1) == std::string::npos) return "/" + out.substr(1);
  if (out.size() > 2 && out.front() == '~' && out.back() == '~') return "/" + out.substr(1, out.size() - 2);
  const bool marked = out.size() > 1 && (out.back() == '*' || out.back() == '#') && out.front() != '/';
  if (marked) return "/" + out.substr(0, out.size() - 1);
  return out;
}

NameHabits habits_of(const std::vector<std::string_view>& raw_names) {
  NameHabits habits;
  std::size_t plain = 0, leading = 0;
  for (const std::string_view raw : raw_names) {
    if (lower(raw).find("{slash}") != std::string::npos) habits.sheet_paths = true;
    if (made_up_name(raw) || raw.size() >= kFieldWidth) continue;
    ++plain;
    if (raw.empty() || raw.front() != '/') continue;
    ++leading;
    if (raw.find('/', 1) != std::string_view::npos) habits.sheet_paths = true;
  }
  if (leading > 0 && 2 * leading >= plain) habits.sheet_paths = true;
  return habits;
}

ReadName read_name(std::string_view raw, const NameHabits& habits) {
  ReadName out;
  bool hash = false;
  std::string_view name = trim(raw);
  out.number = take_number(name, hash);
  const std::string mended = mend_head(name);
  const std::size_t start = habits.sheet_paths ? leaf_start(mended) : 0;
  out.path = decode_escapes(strip_slashes(std::string_view(mended).substr(0, start)));
  out.leaf = with_bars(decode_escapes(std::string_view(mended).substr(start)));
  if (starts_with(out.leaf, "//")) out.leaf.erase(0, 1);  // a bar twice, as escape and as mark
  if (out.leaf.empty()) out.leaf = std::string(name);
  return out;
}

NameMarks marks_of(std::string_view raw, const NameHabits& habits) {
  NameMarks marks;
  bool hash = false;
  std::string_view name = raw;
  const bool numbered = !take_number(name, hash).empty();
  marks.made_unique = numbered && hash;
  marks.suffixed = numbered && !hash;
  marks.escaped = name.find_first_of("{}?") != std::string_view::npos;
  marks.sheet_path = habits.sheet_paths && !made_up_name(raw) && name.find('/') != std::string_view::npos;
  return marks;
}

namespace {

/// "U7-QB-PAD2" -> ref, pin name, pin number. References hold no "-"; pin names may.
MadeUpName parts_of_made_up(std::string_view inside, bool head_cut) {
  MadeUpName out;
  std::size_t pad = upper(inside).rfind("PAD");
  if (pad != std::string::npos && pad > 0 && inside[pad - 1] != '-') pad = std::string::npos;
  if (pad != std::string::npos) {
    out.pin_number = std::string(inside.substr(pad + 3));
    inside = inside.substr(0, pad == 0 ? 0 : pad - 1);
  }
  const std::size_t dash = inside.find('-');
  if (head_cut) {
    // what is left of the reference can't be trusted, the pin name behind the first dash can
    if (dash != std::string_view::npos) out.pin_name = with_bars(decode_escapes(inside.substr(dash + 1)));
    return out;
  }
  out.ref = std::string(inside.substr(0, dash));
  if (dash != std::string_view::npos) out.pin_name = with_bars(decode_escapes(inside.substr(dash + 1)));
  return out;
}

bool is_counted_name(const std::string& name) {
  if (starts_with(name, "n$") && all_digits(std::string_view(name).substr(2))) return true;
  if (starts_with(name, "unnamed_")) return true;
  return name.size() >= 6 && name[0] == 'n' && all_digits(std::string_view(name).substr(1));
}

/// "NetU1_11": a program's name from reference and pin.
std::optional<MadeUpName> joined_name(std::string_view raw) {
  if (raw.size() < 7 || lower(raw.substr(0, 3)) != "net") return std::nullopt;
  const std::size_t low = raw.rfind('_');
  if (low == std::string_view::npos || low < 5 || low + 1 >= raw.size()) return std::nullopt;
  const std::string_view ref = raw.substr(3, low - 3);
  const auto letter = [](char c) { return c >= 'A' && c <= 'Z'; };
  const auto digits = std::find_if_not(ref.begin(), ref.end(), letter);
  if (digits == ref.begin() || !all_digits(ref.substr(static_cast<std::size_t>(digits - ref.begin())))) return std::nullopt;
  MadeUpName out;
  out.ref = std::string(ref);
  out.pin_number = std::string(raw.substr(low + 1));
  return out;
}

}  // namespace

std::optional<MadeUpName> made_up_name(std::string_view raw) {
  bool hash = false;
  std::string_view name = trim(raw);
  const bool numbered = !take_number(name, hash).empty();
  const std::string small = lower(name);
  if (is_counted_name(small)) return MadeUpName{};
  if (const auto joined = joined_name(name)) return joined;
  if (name.empty() || name.back() != ')') return std::nullopt;
  const std::size_t open = name.rfind('(');
  const bool may_be_cut = raw.size() >= kFieldWidth || (numbered && raw.size() + 3 >= kFieldWidth);
  if (open == std::string_view::npos) {
    // the whole head is gone; a dash must be left of "(REF-PIN)"
    if (!may_be_cut || name.find('-') == std::string_view::npos) return std::nullopt;
    return parts_of_made_up(name.substr(0, name.size() - 1), true);
  }
  const std::string head = small.substr(0, open);
  const std::string_view inside = name.substr(open + 1, name.size() - open - 2);
  const bool whole = head == "net-" || head == "unconnected-";
  const bool cut = may_be_cut && (ends_with("net-", head) || ends_with("unconnected-", head));
  if (!whole && !cut) return std::nullopt;
  MadeUpName out = parts_of_made_up(inside, false);
  // "t-(" alone fits only "net-"; "d-(" only "unconnected-"; a bare "(" or "-(" fits both
  out.unconnected = ends_with("unconnected-", head) && !ends_with("net-", head);
  return out;
}

}  // namespace halfsplit::netlist
