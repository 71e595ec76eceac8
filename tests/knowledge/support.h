// The packs that are shipped, and small ones made in a test.
#pragma once
#include <doctest/doctest.h>

#include <filesystem>
#include <memory>
#include <string>

#include "base/file.h"
#include "knowledge/knowledge.h"

inline std::shared_ptr<const halfsplit::knowledge::Knowledge> shipped() {
  static const auto loaded = halfsplit::knowledge::Knowledge::load(std::string(HALFSPLIT_SOURCE_DIR) + "/knowledge");
  REQUIRE_MESSAGE(loaded.ok(), (loaded.ok() ? "" : loaded.error().text()));
  return loaded.value();
}

/// A folder with the shipped packs and one more file.
class PackFolder {
 public:
  explicit PackFolder(const std::string& name, bool with_shipped = true) : path_(std::filesystem::temp_directory_path() / ("halfsplit-knowledge-" + name)) {
    std::filesystem::remove_all(path_);
    std::filesystem::create_directories(path_);
    if (with_shipped)
      for (const auto& file : std::filesystem::directory_iterator(std::string(HALFSPLIT_SOURCE_DIR) + "/knowledge"))
        if (file.path().extension() == ".toml") std::filesystem::copy_file(file.path(), path_ / file.path().filename());
  }
  ~PackFolder() { std::filesystem::remove_all(path_); }
  PackFolder(const PackFolder&) = delete;
  PackFolder& operator=(const PackFolder&) = delete;
  void add(const std::string& file, const std::string& text) { REQUIRE(halfsplit::write_file((path_ / file).string(), text).ok()); }
  std::string path() const { return path_.string(); }
  auto load() const { return halfsplit::knowledge::Knowledge::load(path()); }

 private:
  std::filesystem::path path_;
};
