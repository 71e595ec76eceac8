// app/clock.h - the time, asked in one place: RFC 3339, UTC, to the second.
#pragma once
#include <string>

#include "app/places.h"

namespace halfsplit::app {

/// "2026-11-25T10:15:00Z"; HALFSPLIT_NOW, when set, is taken as the time (scripts, tests).
std::string now(const Outside& outside);

}  // namespace halfsplit::app
