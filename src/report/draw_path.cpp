// The drawing of a signal path. Boxes stand in rows from left to right; the last stop is followed by the function that fails.
#include <fmt/core.h>

#include <algorithm>

#include "base/text.h"
#include "report/signal_path.h"

namespace halfsplit::report {
namespace {

constexpr double kBoxWide = 116, kBoxHigh = 66, kGap = 70, kRowGap = 40, kEdge = 10, kTop = 10;
constexpr std::size_t kTitleWide = 20, kNetWide = 11, kPinWide = 10, kSymptomWide = 19;

struct Spot { double x = 0, y = 0; };

/// Cut after `most` columns; whoever draws says the whole in a title.
std::string cut(const std::string& text, std::size_t most) {
  if (display_width(text) <= most) return text;
  std::string out;
  for (const char c : text) {
    if (display_width(out + c) >= most && (static_cast<unsigned char>(c) & 0xc0) != 0x80) break;
    out += c;
  }
  return out + "\u2026";
}

std::vector<std::string> broken(const std::string& text, std::size_t wide, std::size_t lines) {
  std::vector<std::string> out(1);
  for (const std::string_view word : words(text)) {
    if (!out.back().empty() && display_width(out.back()) + 1 + display_width(word) > wide) {
      if (out.size() == lines) {
        out.back() = cut(out.back() + " " + std::string(word), wide);
        return out;
      }
      out.emplace_back();
    }
    out.back() += (out.back().empty() ? "" : " ") + std::string(word);
  }
  for (std::string& line : out) line = cut(line, wide);
  return out;
}

class Drawing {
 public:
  Drawing(const SignalPath& path, double width) : path_(path), per_row_(std::max<std::size_t>(2, static_cast<std::size_t>((width - 2 * kEdge + kGap) / (kBoxWide + kGap)))) {}

  std::string svg() {
    const std::size_t count = path_.stops.size() + 1;
    const std::size_t rows = (count + per_row_ - 1) / per_row_, columns = std::min(count, per_row_);
    const double wide = 2 * kEdge + static_cast<double>(columns) * (kBoxWide + kGap) - kGap, high = 2 * kTop + static_cast<double>(rows) * (kBoxHigh + kRowGap) - kRowGap;
    for (std::size_t i = 0; i + 1 < count; ++i) wire(i);
    for (std::size_t i = 0; i < path_.stops.size(); ++i) box(i);
    symptom(count - 1);
    return fmt::format("<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {0:.0f} {1:.0f}\" width=\"{0:.0f}\" height=\"{1:.0f}\" role=\"img\" font-family=\"sans-serif\">"
                       "<title>{2}</title>{3}</svg>",
                       wide, high, escaped(in_one_line(path_)), body_);
  }

 private:
  Spot spot(std::size_t i) const { return {kEdge + static_cast<double>(i % per_row_) * (kBoxWide + kGap), kTop + static_cast<double>(i / per_row_) * (kBoxHigh + kRowGap)}; }

  void text(double x, double y, const std::string& what, double size, const char* anchor, const char* weight = "normal", const char* fill = "#111") {
    body_ += fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\" font-size=\"{:.1f}\" text-anchor=\"{}\" font-weight=\"{}\" fill=\"{}\">{}</text>", x, y, size, anchor, weight, fill, escaped(what));
  }

  /// The net between stop i and the next box; the last one leads to the function and has no name.
  void wire(std::size_t i) {
    const Spot from = spot(i), to = spot(i + 1);
    const double y1 = from.y + kBoxHigh / 2, y2 = to.y + kBoxHigh / 2, x1 = from.x + kBoxWide;
    const bool last = i + 1 == path_.stops.size();
    const std::string net = last ? std::string() : path_.nets[i];
    const char* dash = last ? " stroke-dasharray=\"4 3\"" : "";
    std::string shape;
    Spot label;
    if (to.y == from.y) {
      shape = fmt::format("M{:.1f} {:.1f}H{:.1f}", x1, y1, to.x - 5);
      label = {(x1 + to.x) / 2, y1 - 6};
    } else {
      const double between = from.y + kBoxHigh + kRowGap / 2;
      const double middle = from.x + kBoxWide / 2;
      shape = fmt::format("M{:.1f} {:.1f}V{:.1f}H{:.1f}V{:.1f}", middle, from.y + kBoxHigh, between, to.x + kBoxWide / 2, to.y - 5);
      label = {(middle + to.x + kBoxWide / 2) / 2, between - 5};
    }
    body_ += fmt::format("<path d=\"{}\" fill=\"none\" stroke=\"#333\" stroke-width=\"1.6\"{}/>", shape, dash);
    if (to.y == from.y) body_ += fmt::format("<path d=\"M{0:.1f} {1:.1f}l-7 -4v8z\" fill=\"#333\"/>", to.x - 1, y2);
    else body_ += fmt::format("<path d=\"M{0:.1f} {1:.1f}l-4 -7h8z\" fill=\"#333\"/>", to.x + kBoxWide / 2, to.y - 1);
    if (!net.empty()) text(label.x, label.y, cut(net, to.y == from.y ? kNetWide : 3 * kNetWide), 11, "middle", "bold", "#234");
  }

  void box(std::size_t i) {
    const PathStop& stop = path_.stops[i];
    const Spot at = spot(i);
    const bool culprit = i == 0;
    body_ += fmt::format("<g><title>{}</title><rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.0f}\" height=\"{:.0f}\" rx=\"3\" fill=\"{}\" stroke=\"#111\" stroke-width=\"{}\"/></g>",
                         escaped(stop.part + ", " + stop.title), at.x, at.y, kBoxWide, kBoxHigh, culprit ? "#f3e3dc" : "#fff", culprit ? "2.6" : "1.2");
    text(at.x + kBoxWide / 2, at.y + 17, culprit ? stop.part + "  (culprit)" : stop.part, 13, "middle", "bold");
    double y = at.y + 31;
    for (const std::string& line : broken(stop.title, kTitleWide, 2)) {
      text(at.x + kBoxWide / 2, y, line, 10, "middle", "normal", "#444");
      y += 11.5;
    }
    text(at.x + 5, at.y + kBoxHigh - 6, cut(stop.in, kPinWide), 9.5, "start", "normal", "#234");
    text(at.x + kBoxWide - 5, at.y + kBoxHigh - 6, cut(stop.out, kPinWide), 9.5, "end", "normal", "#234");
  }

  void symptom(std::size_t i) {
    const Spot at = spot(i);
    body_ += fmt::format("<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.0f}\" height=\"{:.0f}\" rx=\"{:.0f}\" fill=\"#fff\" stroke=\"#111\" stroke-width=\"1.2\" stroke-dasharray=\"5 3\"/>", at.x, at.y, kBoxWide, kBoxHigh, kBoxHigh / 3);
    const auto lines = broken(path_.symptom, kSymptomWide, 3);
    double y = at.y + kBoxHigh / 2 + 4 - 6.5 * static_cast<double>(lines.size() - 1);
    for (const std::string& line : lines) {
      text(at.x + kBoxWide / 2, y, line, 11, "middle");
      y += 13;
    }
  }

  const SignalPath& path_;
  const std::size_t per_row_;
  std::string body_;
};

}  // namespace

std::string draw(const SignalPath& path, double width) { return Drawing(path, width).svg(); }

}  // namespace halfsplit::report
