#include "report/slip.h"

#include <fmt/core.h>

#include <charconv>
#include <ostream>

namespace halfsplit::report {

void print(std::ostream& out, const Slip& slip, const Style& style) {
  for (const std::string& stop : slip.stops) paragraph(out, stop, Ink::danger, style, "STOP  ");
  if (!slip.bench.empty()) paragraph(out, slip.bench, Ink::strong, style, "Bench: ");
  for (const std::string& caution : slip.cautions) paragraph(out, caution, Ink::danger, style, "Caution: ");
}

void add_json(Json& object, const Slip& slip) {
  object.set("stops", json_of(slip.stops));
  object.set("cautions", json_of(slip.cautions));
  object.set("setup", slip.bench);
}

Json json_of(const std::vector<std::string>& texts) {
  Json out = Json::array();
  for (const std::string& text : texts) out.push(text);
  return out;
}

Json json_share(double p) {
  const std::string text = fmt::format("{:.6g}", p);
  double rounded = 0;
  std::from_chars(text.data(), text.data() + text.size(), rounded);
  return rounded;
}

}  // namespace halfsplit::report
