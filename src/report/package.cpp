#include "report/package.h"

#include <fmt/core.h>

#include <algorithm>
#include <ostream>

#include "base/text.h"

namespace halfsplit::report {
namespace {

std::string left_text(const PackagePin& pin) { return fmt::format("{}{}{}{}", pin.odd ? "* " : "", pin.value, pin.value.empty() ? "" : "  ", pin.name); }
std::string right_text(const PackagePin& pin) { return fmt::format("{}{}{}{}", pin.name, pin.value.empty() ? "" : "  ", pin.value, pin.odd ? " *" : ""); }

std::string padded(const std::string& text, std::size_t width) { return std::string(width > display_width(text) ? width - display_width(text) : 0, ' ') + text; }

void print_rows(std::ostream& out, const PackagePicture& picture, const Style& style) {
  const std::size_t half = picture.pins.size() / 2;
  std::size_t left = 0, digits = 0;
  for (const PackagePin& pin : picture.pins) digits = std::max(digits, pin.number.size());
  for (std::size_t i = 0; i < half; ++i) left = std::max(left, display_width(left_text(picture.pins[i])));
  for (std::size_t i = 0; i < half; ++i) {
    const PackagePin &a = picture.pins[i], &b = picture.pins[picture.pins.size() - 1 - i];
    const std::string before = padded(left_text(a), left), behind = right_text(b);
    const std::string body = fmt::format(" |{:<{}} {} {:>{}}| ", a.number, digits, i == 0 ? "\\/" : "  ", b.number, digits);
    out << "  " << inked(before, a.odd ? Ink::strong : Ink::plain, style) << body << inked(behind, b.odd ? Ink::strong : Ink::plain, style) << '\n';
  }
}

void print_list(std::ostream& out, const PackagePicture& picture, const Style& style) {
  std::size_t digits = 0;
  for (const PackagePin& pin : picture.pins) digits = std::max(digits, pin.number.size());
  for (const PackagePin& pin : picture.pins)
    if (!pin.value.empty()) out << "  |" << padded(pin.number, digits) << "| " << inked(right_text(pin), pin.odd ? Ink::strong : Ink::plain, style) << '\n';
}

}  // namespace

void print(std::ostream& out, const PackagePicture& picture, const Style& style) {
  const bool any_odd = std::any_of(picture.pins.begin(), picture.pins.end(), [](const PackagePin& pin) { return pin.odd; });
  paragraph(out, fmt::format("{}, {}, {}{}", picture.part, picture.title, picture.two_rows ? "component side up, notch at the top" : "from pin 1 on", any_odd ? "; * = not as it should be" : ""), style);
  if (picture.two_rows) print_rows(out, picture, style);
  else print_list(out, picture, style);
}

Json json_of(const PackagePicture& picture) {
  Json out, pins = Json::array();
  for (const PackagePin& pin : picture.pins) {
    Json one;
    pins.push(one.set("number", pin.number).set("name", pin.name).set("value", pin.value).set("odd", pin.odd));
  }
  return out.set("part", picture.part).set("title", picture.title).set("two_rows", picture.two_rows).set("pins", std::move(pins));
}

}  // namespace halfsplit::report
