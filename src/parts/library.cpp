#include "parts/library.h"

#include <algorithm>
#include <filesystem>
#include <map>
#include <mutex>
#include <optional>
#include <unordered_map>

#include "base/random.h"
#include "base/text.h"
#include "parts/match_table.h"
#include "parts/numbered.h"
#include "parts/type_file.h"
#include "parts/vocabulary.h"

namespace halfsplit::parts {

namespace {

namespace fs = std::filesystem;

bool is_table(const std::string& name) { return name == "families" || name == "classes" || name == "match" || name == "electrical"; }

Result<std::vector<std::string>> type_names(const std::string& folder) {
  std::error_code error;
  std::vector<std::string> out;
  for (fs::directory_iterator it(folder, error), end; !error && it != end; it.increment(error)) {
    const fs::path& path = it->path();
    if (path.extension() == ".toml" && !is_table(path.stem().string())) out.push_back(path.stem().string());
  }
  if (error) return not_found("the part library " + folder + " can't be read: " + error.message());
  std::sort(out.begin(), out.end(), natural_less);
  return out;
}

/// Printed names compare without capitals, blanks and dashes.
std::string squeezed(std::string_view name) {
  std::string out;
  for (const char c : upper(name))
    if (c != ' ' && c != '-' && c != '_') out += c;
  return out;
}

}  // namespace

struct Library::Impl {
  std::string folder;
  Vocabulary vocabulary;
  MatchTable matching;
  ElectricalTable electrical;
  std::vector<std::string> ids;
  std::unordered_map<std::string, std::size_t> index;

  mutable std::mutex lock;
  mutable std::unordered_map<std::string, Result<TypeFile>> files;
  mutable std::unordered_map<std::string, std::unique_ptr<const PartType>> made;  ///< by canonical id, those with made pins
  mutable std::vector<std::unique_ptr<const PartType>> adopted;
  mutable std::optional<std::multimap<std::string, std::string>> printed;  ///< squeezed name -> id
  mutable std::optional<std::uint64_t> hash;

  std::string path_of(const std::string& name) const { return folder + "/" + name + ".toml"; }
  Status open();
  Result<const TypeFile*> file(const std::string& id) const;
  Result<const PartType*> make(const TypeFile& file, const TypeId& id) const;
  Result<const PartType*> keep(Result<PartType> type) const;
  Result<const PartType*> type(std::string_view id) const;
  Result<const PartType*> type_with_pins(std::string_view id, const std::vector<std::string>& numbers) const;
  void index_printed() const;
};

Status Library::Impl::open() {
  const auto families = read_document(path_of("families"));
  if (!families.ok()) return families.error();
  auto read = read_families(families.value());
  if (!read.ok()) return read.error();
  vocabulary.families = std::move(read).value();
  const auto classes = read_document(path_of("classes"));
  if (!classes.ok()) return classes.error();
  if (Status status = read_classes(classes.value(), vocabulary); !status.ok()) return status;
  std::error_code error;
  if (fs::exists(path_of("match"), error)) {
    const auto match = read_document(path_of("match"));
    if (!match.ok()) return match.error();
    auto table = read_match_table(match.value());
    if (!table.ok()) return table.error();
    matching = std::move(table).value();
  }
  if (fs::exists(path_of("electrical"), error)) {
    const auto document = read_document(path_of("electrical"));
    if (!document.ok()) return document.error();
    auto table = read_electrical(document.value());
    if (!table.ok()) return table.error();
    electrical = std::move(table).value();
  }
  auto names = type_names(folder);
  if (!names.ok()) return names.error();
  ids = std::move(names).value();
  for (std::size_t i = 0; i < ids.size(); ++i) index.emplace(ids[i], i);
  return Done{};
}

Result<const TypeFile*> Library::Impl::file(const std::string& id) const {
  if (!index.contains(id)) {
    const auto near = did_you_mean(id, ids);
    return not_found("no part type " + id + " in the library", near ? "did you mean " + *near + "?" : "");
  }
  auto found = files.find(id);
  if (found == files.end()) {
    const auto document = read_document(path_of(id));
    Result<TypeFile> read = document.ok() ? read_type_file(document.value(), vocabulary) : Result<TypeFile>(document.error());
    if (read.ok() && read.value().type.id != id)
      read = bad_input("the id is \"" + read.value().type.id + "\", the file is named " + id + ".toml", document.value().find("id")->place);
    found = files.emplace(id, std::move(read)).first;
  }
  if (!found->second.ok()) return found->second.error();
  return &found->second.value();
}

Result<const PartType*> Library::Impl::keep(Result<PartType> type) const {
  if (!type.ok()) return type.error();
  const std::string id = type.value().id;
  auto& place = made[id];
  if (!place) place = std::make_unique<const PartType>(std::move(type).value());
  return place.get();
}

Result<const PartType*> Library::Impl::make(const TypeFile& from, const TypeId& id) const {
  if (id.plain) return &from.type;
  const auto ready = made.find(join_type_id(id.base, id.labels));
  if (ready != made.end()) return ready->second.get();
  return keep(from.type.numbered ? make_numbered(from, id.labels) : renumber(from.type, id.labels));
}

Result<const PartType*> Library::Impl::type(std::string_view id) const {
  const auto split = split_type_id(id);
  if (!split.ok()) return split.error();
  const auto from = file(split.value().base);
  if (!from.ok()) return from.error();
  return make(*from.value(), split.value());
}

Result<const PartType*> Library::Impl::type_with_pins(std::string_view id, const std::vector<std::string>& numbers) const {
  const auto found = type(id);
  if (!found.ok()) return found;
  const PartType& type = *found.value();
  if (type.numbered) {
    TypeId wanted{type.id, false, numbers};
    std::sort(wanted.labels.begin(), wanted.labels.end(), natural_less);
    return make(*file(type.id).value(), wanted);
  }
  std::vector<std::string> strange;
  for (const std::string& number : numbers)
    if (!type.pin_by_number(number)) strange.push_back(number);
  if (strange.empty()) return found;
  std::vector<std::string> known;
  for (const Pin& pin : type.pins) known.push_back(pin.number);
  return bad_input("part type " + type.id + " has no pin " + join(strange, ", "), {}, "its pins: " + join(known, " "));
}

void Library::Impl::index_printed() const {
  if (printed) return;
  printed.emplace();
  for (const std::string& id : ids) {
    printed->emplace(squeezed(id), id);
    const auto from = file(id);
    if (!from.ok()) continue;
    for (const std::string& name : from.value()->type.also) printed->emplace(squeezed(name), id);
  }
}

Library::Library(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}
Library::~Library() = default;

Result<std::shared_ptr<const Library>> Library::open(const std::string& folder) {
  auto impl = std::make_unique<Impl>();
  impl->folder = folder;
  if (Status status = impl->open(); !status.ok()) return status.error();
  return std::shared_ptr<const Library>(new Library(std::move(impl)));
}

Result<const PartType*> Library::type(std::string_view id) const {
  const std::lock_guard guard(impl_->lock);
  return impl_->type(id);
}

Result<const PartType*> Library::type_with_pins(std::string_view id, const std::vector<std::string>& numbers) const {
  const std::lock_guard guard(impl_->lock);
  return impl_->type_with_pins(id, numbers);
}

Result<const PartType*> Library::adopt(const halfsplit::Node& document) const {
  auto read = read_type_file(document, impl_->vocabulary);
  if (!read.ok()) return read.error();
  const std::lock_guard guard(impl_->lock);
  impl_->adopted.push_back(std::make_unique<const PartType>(std::move(read).value().type));
  return impl_->adopted.back().get();
}

const std::vector<std::string>& Library::ids() const { return impl_->ids; }

std::vector<std::string> Library::named(std::string_view name) const {
  const std::lock_guard guard(impl_->lock);
  impl_->index_printed();
  const std::string wanted = squeezed(name);
  std::vector<std::string> out;
  const auto [first, last] = impl_->printed->equal_range(wanted);
  for (auto it = first; it != last; ++it)
    if (std::find(out.begin(), out.end(), it->second) == out.end()) out.push_back(it->second);
  std::stable_partition(out.begin(), out.end(), [&](const std::string& id) { return squeezed(id) == wanted; });
  return out;
}

const Family* Library::family(std::string_view id) const {
  for (const Family& family : impl_->vocabulary.families)
    if (family.id == id) return &family;
  return nullptr;
}

const std::vector<Family>& Library::families() const { return impl_->vocabulary.families; }

const std::vector<Mode>& Library::modes(std::string_view rate_class, std::string_view technology) const {
  const ClassModes *whole = nullptr, *logic = nullptr;
  for (const ClassModes& entry : impl_->vocabulary.classes) {
    if (entry.rate_class == rate_class && !technology.empty() && entry.technology == technology) return entry.modes;
    if (entry.rate_class == rate_class && entry.technology.empty()) whole = &entry;
    if (entry.rate_class == "logic" && entry.technology.empty()) logic = &entry;
  }
  if (!whole)
    for (const ClassModes& entry : impl_->vocabulary.classes)
      if (!whole && entry.rate_class == rate_class) whole = &entry;
  HS_REQUIRE(logic, "classes.toml without class logic is refused when read");
  return whole ? whole->modes : logic->modes;
}

const std::vector<ClassModes>& Library::classes() const { return impl_->vocabulary.classes; }

std::uint64_t Library::hash() const {
  const std::lock_guard guard(impl_->lock);
  if (impl_->hash) return *impl_->hash;
  std::vector<std::string> names = impl_->ids;
  names.insert(names.begin(), {"families", "classes", "match", "electrical"});
  std::uint64_t hash = content_hash("parts");
  for (const std::string& name : names) {
    const auto text = read_file(impl_->path_of(name));
    hash = content_hash(name, hash);
    if (text.ok()) hash = content_hash(text.value(), hash);
  }
  impl_->hash = hash;
  return hash;
}

const MatchTable& Library::match_table() const { return impl_->matching; }
const ElectricalTable& Library::electrical() const { return impl_->electrical; }

}  // namespace halfsplit::parts
