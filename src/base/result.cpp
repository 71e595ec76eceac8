#include "base/result.h"

namespace halfsplit {

int exit_code(ErrorCode code) noexcept {
  switch (code) {
    case ErrorCode::usage: return 2;
    case ErrorCode::bad_input: return 3;
    case ErrorCode::store: return 4;
    case ErrorCode::not_found: return 5;
    case ErrorCode::needs_confirmation: return 6;
    case ErrorCode::internal: break;
  }
  return 70;
}

const char* name_of(ErrorCode code) noexcept {
  switch (code) {
    case ErrorCode::usage: return "usage";
    case ErrorCode::bad_input: return "bad_input";
    case ErrorCode::store: return "store";
    case ErrorCode::not_found: return "not_found";
    case ErrorCode::needs_confirmation: return "needs_confirmation";
    case ErrorCode::internal: break;
  }
  return "internal";
}

std::string Place::text() const {
  std::string out = file;
  if (line == 0) return out;
  out += (out.empty() ? "line " : ":") + std::to_string(line);
  if (column != 0) out += ":" + std::to_string(column);
  return out;
}

std::string Error::text() const {
  std::string out = place.known() ? place.text() + ": " + message : message;
  if (!hint.empty()) out += " (" + hint + ")";
  return out;
}

namespace {
Error make(ErrorCode code, std::string message, Place place, std::string hint) {
  Error error;
  error.code = code;
  error.message = std::move(message);
  error.place = std::move(place);
  error.hint = std::move(hint);
  return error;
}
}  // namespace

Error bad_input(std::string message, Place place, std::string hint) {
  return make(ErrorCode::bad_input, std::move(message), std::move(place), std::move(hint));
}
Error usage(std::string message, std::string hint) { return make(ErrorCode::usage, std::move(message), {}, std::move(hint)); }
Error not_found(std::string message, std::string hint) { return make(ErrorCode::not_found, std::move(message), {}, std::move(hint)); }
Error store_trouble(std::string message, std::string hint) { return make(ErrorCode::store, std::move(message), {}, std::move(hint)); }
Error needs_confirmation(std::string message, std::string hint) {
  return make(ErrorCode::needs_confirmation, std::move(message), {}, std::move(hint));
}

void Errors::add(Error error) {
  ++count_;
  if (list_.size() < kMost) list_.push_back(std::move(error));
}

Error Errors::joined() const {
  HS_REQUIRE(!empty(), "joined() of no errors");
  Error all = list_.front();
  if (count_ == 1) return all;
  if (!all.hint.empty()) all.message += " (" + all.hint + ")";
  all.hint.clear();
  for (std::size_t i = 1; i < list_.size(); ++i) all.message += "\n" + list_[i].text();
  if (count_ > list_.size()) all.message += "\nand " + std::to_string(count_ - list_.size()) + " more";
  return all;
}

}  // namespace halfsplit
