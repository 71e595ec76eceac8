// report/trouble.h - an Error as a person and as a program reads it.
#pragma once
#include <iosfwd>

#include "base/json.h"
#include "base/result.h"
#include "report/style.h"

namespace halfsplit::report {

/// "error: file:3:7: message" and the hint on a line of its own.
void print(std::ostream& out, const Error& error, const Style& style);
/// {code, message, file, line, column, hint}
Json json_of(const Error& error);

}  // namespace halfsplit::report
