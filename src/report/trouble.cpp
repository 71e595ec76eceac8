#include "report/trouble.h"

#include <ostream>

namespace halfsplit::report {

void print(std::ostream& out, const Error& error, const Style& style) {
  const std::string place = error.place.text();
  out << inked("error: ", Ink::danger, style) << (place.empty() ? "" : place + ": ") << error.message << '\n';
  if (!error.hint.empty()) out << "  " << error.hint << '\n';
}

Json json_of(const Error& error) {
  Json out;
  out.set("schema", "halfsplit/error/1").set("code", name_of(error.code)).set("message", error.message);
  out.set("file", error.place.file.empty() ? Json() : Json(error.place.file));
  out.set("line", error.place.line == 0 ? Json() : Json(error.place.line)).set("column", error.place.column == 0 ? Json() : Json(error.place.column));
  return out.set("hint", error.hint);
}

}  // namespace halfsplit::report
