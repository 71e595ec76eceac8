#include "app/places.h"

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <map>

#include "base/text.h"

namespace halfsplit::app {
namespace fs = std::filesystem;
namespace {

bool is_file(const fs::path& path) {
  std::error_code ignored;
  return fs::is_regular_file(path, ignored);
}
bool is_folder(const fs::path& path) {
  std::error_code ignored;
  return fs::is_directory(path, ignored);
}
bool is_data(const fs::path& path) { return is_file(path / "shared/parts/families.toml"); }
bool is_machine(const fs::path& path) { return is_file(path / "machine.toml"); }

std::optional<std::string> set_variable(const Outside& outside, const char* name) {
  const auto value = outside.variable(name);
  return value && !value->empty() ? value : std::nullopt;
}

/// A folder of the base directory standard; relative values are ignored.
std::optional<fs::path> data_home(const Outside& outside) {
  const auto told = set_variable(outside, "XDG_DATA_HOME");
  if (told && fs::path(*told).is_absolute()) return fs::path(*told) / "halfsplit";
  const auto home = set_variable(outside, "HOME");
  if (home && fs::path(*home).is_absolute()) return fs::path(*home) / ".local/share/halfsplit";
  return std::nullopt;
}

std::optional<fs::path> data_near_program(const Outside& outside) {
  if (outside.program.empty()) return std::nullopt;
  for (fs::path folder = fs::path(outside.program).parent_path(); folder.has_relative_path(); folder = folder.parent_path()) {
    if (is_data(folder / "share/halfsplit")) return folder / "share/halfsplit";
    if (is_data(folder)) return folder;
  }
  return std::nullopt;
}

std::optional<fs::path> data_of_system(const Outside& outside) {
  const std::string folders = set_variable(outside, "XDG_DATA_DIRS").value_or("/usr/local/share:/usr/share");
  for (const std::string_view folder : split(folders, ':'))
    if (!folder.empty() && folder.front() == '/' && is_data(fs::path(folder) / "halfsplit")) return fs::path(folder) / "halfsplit";
  return std::nullopt;
}

Result<fs::path> find_data(const std::string& flag, const Outside& outside) {
  const auto told = flag.empty() ? set_variable(outside, "HALFSPLIT_DATA") : std::optional<std::string>(flag);
  const std::string hint = "name the folder that holds boards, knowledge and shared/parts: --data DIR, or HALFSPLIT_DATA";
  if (told) {
    if (is_data(*told)) return fs::path(*told);
    return not_found(in_quotes(*told) + " holds no part library (shared/parts)", hint);
  }
  if (const auto near = data_near_program(outside)) return *near;
  if (const auto system = data_of_system(outside)) return *system;
  return not_found("the program's data folder is not found", hint);
}

Result<std::string> find_workshop(const std::string& flag, const Outside& outside) {
  if (!flag.empty()) return flag;
  if (const auto told = set_variable(outside, "HALFSPLIT_WORKSHOP")) return *told;
  if (const auto home = data_home(outside)) return (*home / "workshop.db").string();
  return usage("there is no place to keep jobs: HOME is not set", "name the file: --workshop FILE");
}

}  // namespace

Outside outside() {
  Outside out;
  out.variable = [](const char* name) -> std::optional<std::string> {
    const char* value = std::getenv(name);
    return value ? std::optional<std::string>(value) : std::nullopt;
  };
  std::error_code failed;
  const fs::path program = fs::read_symlink("/proc/self/exe", failed);
  if (!failed) out.program = program.string();
  return out;
}

Result<Places> find_places(const std::string& data, const std::string& workshop, const Outside& outside) {
  auto folder = find_data(data, outside);
  if (!folder) return folder.error();
  auto file = find_workshop(workshop, outside);
  if (!file) return file.error();
  Places out;
  out.data = folder->string();
  out.workshop = std::move(file).value();
  out.program = outside.program;
  if (const auto home = data_home(outside)) out.board_roots.push_back((*home / "boards").string());
  out.board_roots.push_back((*folder / "boards").string());
  return out;
}

std::vector<std::string> all_boards(const Places& places) {
  std::map<std::string, std::string> found;
  for (const std::string& root : places.board_roots) {
    std::error_code failed;
    for (const auto& entry : fs::directory_iterator(root, failed))
      if (is_machine(entry.path())) found.emplace(entry.path().filename().string(), entry.path().string());
  }
  std::vector<std::string> out;
  for (const auto& [name, folder] : found) out.push_back(folder);
  return out;
}

Result<std::string> find_board(const Places& places, const std::string& word) {
  if (is_machine(word)) return word;
  const bool plain = word.find('/') == std::string::npos && !word.empty() && word[0] != '.';
  for (const std::string& root : places.board_roots)
    if (plain && is_machine(fs::path(root) / word)) return (fs::path(root) / word).string();
  if (is_folder(word)) return not_found(in_quotes(word) + " holds no machine (machine.toml)", "make one from a netlist: halfsplit import NETLIST --bom PARTS --out " + word);
  std::vector<std::string> names;
  for (const std::string& folder : all_boards(places)) names.push_back(fs::path(folder).filename().string());
  const auto near = did_you_mean(word, names);
  return not_found("no machine is called " + in_quotes(word), near ? "did you mean " + *near + "?" : names.empty() ? "halfsplit import makes one from a netlist" : "there are: " + join(names, ", "));
}

Status make_folder_of(const std::string& file) {
  const fs::path folder = fs::path(file).parent_path();
  if (folder.empty() || is_folder(folder)) return Done{};
  std::error_code failed;
  fs::create_directories(folder, failed);
  if (failed) return store_trouble("can't make the folder " + in_quotes(folder.string()) + ": " + failed.message(), "name another file: --workshop FILE");
  fs::permissions(folder, fs::perms::owner_all, failed);
  return Done{};
}

}  // namespace halfsplit::app
