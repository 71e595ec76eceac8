#include "app/sketching.h"

#include <filesystem>

#include "app/jobs.h"
#include "board/spec.h"
#include "netlist/sketch.h"

namespace halfsplit::app {
namespace fs = std::filesystem;
namespace {

Result<std::string> free_folder(const Places& places) {
  if (places.board_roots.size() < 2) return usage("there is no place for machines of your own: HOME is not set", "name a folder: --out DIR");
  std::error_code ignored;
  for (int n = 1;; ++n) {
    const fs::path folder = fs::path(places.board_roots.front()) / ("sketch-" + std::to_string(n));
    if (!fs::exists(folder, ignored)) return folder.string();
  }
}

}  // namespace

Result<report::Resumed> sketch(Desk& desk, const SketchWish& wish) {
  auto library = parts::Library::open(desk.places().parts());
  if (!library) return library.error();
  const auto chips = netlist::read_chips(wish.chips, **library);
  if (!chips) return chips.error();
  const auto folder = wish.out.empty() ? free_folder(desk.places()) : Result<std::string>(wish.out);
  if (!folder) return folder.error();
  const fs::path path = fs::absolute(*folder).lexically_normal();
  const std::string id = path.filename().empty() ? path.parent_path().filename().string() : path.filename().string();
  const auto spec = netlist::sketch_machine(*chips, **library, id, wish.title.empty() ? id : wish.title);
  if (!spec) return spec.error();
  if (const auto built = board::build(*spec, *library); !built) return built.error();
  if (const Status room = make_folder_of(path.string()); !room) return room.error();
  if (const Status written = board::write_spec(*spec, path.string(), wish.replace); !written) return written.error();
  NewJob job;
  job.machine = path.string();
  job.title = wish.title;
  job.tools = wish.tools;
  return open_job(desk, job);
}

}  // namespace halfsplit::app
