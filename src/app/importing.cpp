#include "app/importing.h"

#include <fmt/core.h>

#include <algorithm>
#include <filesystem>

#include "base/file.h"
#include "base/text.h"
#include "board/spec.h"
#include "netlist/import.h"
#include "netlist/ipc356.h"
#include "netlist/net_csv.h"
#include "parts/library.h"

namespace halfsplit::app {
namespace {

namespace fs = std::filesystem;

/// A table says in its first line that with text what its columns are; everything else is read as IPC-D-356A, whose reader says what it isn't.
bool is_table(const std::string& path, std::string_view text) {
  const std::string ending = lower(fs::path(path).extension().string());
  if (ending == ".csv" || ending == ".tsv") return true;
  const std::string head = lower(text.substr(0, text.find_first_of("\r\n")));
  return head.find("net") != std::string::npos && head.find("pin") != std::string::npos && head.find_first_of(",;\t") != std::string::npos;
}

Result<netlist::Netlist> read_netlist(const std::string& path) {
  const auto bytes = read_file(path);
  if (!bytes) return bytes.error();
  return is_table(path, *bytes) ? netlist::read_net_csv(*bytes, path) : netlist::read_ipc356(*bytes, path);
}

std::string plain_id(const std::string& name) {
  std::string out;
  for (const char c : lower(name)) out += (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') ? c : '-';
  const std::size_t first = out.find_first_not_of('-');
  return first == std::string::npos ? "machine" : out.substr(first, out.find_last_not_of('-') - first + 1);
}

std::vector<report::DeviationLine> lines_of(const std::vector<netlist::Deviation>& deviations) {
  std::vector<report::DeviationLine> out;
  for (const netlist::Deviation& one : deviations) out.push_back({netlist::id_of(one.kind), netlist::title_of(one.kind), one.count, one.first.text()});
  return out;
}

std::vector<report::QuestionLine> questions_of(const board::MachineSpec& spec) {
  std::vector<report::QuestionLine> out;
  for (const board::QuestionSpec& question : spec.questions) {
    report::QuestionLine line{question.id, question.text, {}};
    for (const auto& answer : question.answers) line.answers.push_back(answer.word);
    out.push_back(std::move(line));
  }
  return out;
}

report::Imported answer_of(const netlist::Imported& it) {
  report::Imported out;
  out.parts = it.parts;
  out.netted_parts = it.netted_parts;
  out.typed_parts = it.typed_parts;
  out.pins = it.pins;
  out.typed_pins = it.typed_pins;
  out.nets = it.nets;
  out.functions = it.spec.functions.size();
  out.deviations = lines_of(it.deviations);
  out.questions = questions_of(it.spec);
  out.untyped = it.untyped;
  out.notes = it.notes;
  return out;
}

}  // namespace

Result<report::Imported> import_machine(const Places& places, const ImportWish& wish) {
  if (wish.files.size() != 1) return usage(fmt::format("{} netlists given; one machine is made from one", wish.files.size()), "import each board by itself; boards that plug together become units of one machine.toml (docs/board-format.md)");
  auto library = parts::Library::open(places.parts());
  if (!library) return library.error();
  const auto file = read_netlist(wish.files.front());
  if (!file) return file.error();
  std::optional<netlist::Bom> bom;
  if (!wish.bom.empty()) {
    const auto bytes = read_file(wish.bom);
    if (!bytes) return bytes.error();
    auto read = netlist::read_bom(*bytes, wish.bom);
    if (!read) return read.error();
    bom = std::move(read).value();
  }
  const std::string name = fs::path(wish.out).lexically_normal().filename().empty() ? fs::path(wish.out).lexically_normal().parent_path().filename().string() : fs::path(wish.out).lexically_normal().filename().string();
  netlist::ImportOptions options;
  options.id = wish.id.empty() ? plain_id(name) : wish.id;
  options.title = wish.title.empty() ? name : wish.title;
  const netlist::Imported imported = netlist::import_board(*file, bom ? &*bom : nullptr, **library, options);
  const auto built = board::build(imported.spec, *library);
  if (!built) return built.error();
  if (const Status written = board::write_spec(imported.spec, wish.out, wish.replace); !written) {
    Error error = written.error();
    if (error.code == ErrorCode::needs_confirmation) error.hint = "take another folder, or add --replace";
    return error;
  }
  report::Imported out = answer_of(imported);
  out.folder = wish.out;
  out.id = options.id;
  out.without_bom = !bom;
  return out;
}

}  // namespace halfsplit::app
