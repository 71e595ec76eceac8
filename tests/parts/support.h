// tests/parts/support.h - a small part library in memory or on disk for the tests of module parts.
#pragma once
#include <doctest/doctest.h>

#include <memory>
#include <string>

#include "base/document.h"
#include "parts/library.h"

inline std::shared_ptr<const halfsplit::parts::Library> shipped_library() {
  static const auto library = [] {
    auto opened = halfsplit::parts::Library::open(std::string(HALFSPLIT_SOURCE_DIR) + "/shared/parts");
    REQUIRE_MESSAGE(opened.ok(), opened.error().text());
    return std::move(opened).value();
  }();
  return library;
}

/// Reads a type from text with the shipped families and classes.
inline halfsplit::Result<const halfsplit::parts::PartType*> type_from(const std::string& text) {
  const auto document = halfsplit::parse_document(text, "t.toml");
  REQUIRE_MESSAGE(document.ok(), document.error().text());
  return shipped_library()->adopt(document.value());
}
