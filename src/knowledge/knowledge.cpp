#include "knowledge/knowledge.h"

#include <algorithm>
#include <filesystem>

#include "base/document.h"
#include "base/file.h"
#include "base/random.h"
#include "base/require.h"
#include "base/text.h"
#include "knowledge/read_pack.h"
#include "knowledge/tables.h"

namespace halfsplit::knowledge {
namespace {

namespace fs = std::filesystem;

Result<std::vector<std::string>> pack_files(const std::string& folder) {
  std::error_code error;
  std::vector<std::string> out;
  for (fs::directory_iterator it(folder, error), end; !error && it != end; it.increment(error))
    if (it->path().extension() == ".toml") out.push_back(it->path().filename().string());
  if (error) return not_found("the knowledge folder " + folder + " can't be read: " + error.message());
  if (out.empty()) return not_found("there is no pack in " + folder, "a pack is a .toml file; see docs/knowledge-format.md");
  std::sort(out.begin(), out.end());
  return out;
}

/// Names of the profiles a document declares: needed before its rates can be read.
void collect_profiles(const Node& document, std::vector<std::string>& names) {
  const Node* list = document.find("profile");
  if (!list || list->kind != Node::Kind::array) return;
  for (const Node& item : list->items)
    if (const Node* id = item.find("id"); id && id->kind == Node::Kind::text && std::find(names.begin(), names.end(), id->text) == names.end())
      names.push_back(id->text);
}

const Figure* figure_of(const RateRow& row, const std::string& profile) {
  for (const Figure& figure : row.figures)
    if (figure.profile == profile) return &figure;
  return nullptr;
}

}  // namespace

Knowledge::Knowledge() = default;
Knowledge::~Knowledge() = default;

Result<std::shared_ptr<const Knowledge>> Knowledge::load(const std::string& folder) {
  const auto files = pack_files(folder);
  if (!files.ok()) return files.error();
  const std::shared_ptr<Knowledge> made(new Knowledge);
  Errors errors;
  std::vector<Node> documents;
  made->hash_ = content_hash("knowledge");
  for (const std::string& name : files.value()) {
    const std::string path = folder + "/" + name;
    const auto text = read_file(path);
    if (!text.ok()) return text.error();
    made->hash_ = content_hash(text.value(), content_hash(name, made->hash_));
    auto document = parse_document(text.value(), path);
    if (document.ok()) documents.push_back(std::move(document).value());
    else errors.add(document.error());
  }
  for (const Node& document : documents) collect_profiles(document, made->entries_.profile_names);
  for (const Node& document : documents) read_pack(document, made->entries_, errors);
  if (errors.empty()) check_entries(made->entries_, errors);
  if (!errors.empty()) return errors.joined();
  made->evidence_ = make_evidence_table(made->entries_);
  made->costs_ = make_costs(made->entries_);
  return std::shared_ptr<const Knowledge>(made);
}

Result<const Profile*> Knowledge::profile(std::string_view id) const {
  for (const Profile& profile : entries_.profiles)
    if (profile.id == id) return &profile;
  const auto near = did_you_mean(id, entries_.profile_names);
  return not_found("there is no profile " + in_quotes(id), near ? "did you mean " + in_quotes(*near) + "?" : "known: " + join(entries_.profile_names, ", "));
}

Rate Knowledge::rate(std::string_view rate_class, std::string_view technology, const Profile& profile) const {
  const auto row_of = [&](std::string_view wanted, std::string_view of_technology) -> const RateRow* {
    for (const RateRow& row : entries_.rates)
      if (row.rate_class == wanted && row.technology == of_technology) return &row;
    return nullptr;
  };
  Rate out;
  const auto split = [&](const RateRow& row) { return row.rate_class == rate_class && !row.technology.empty(); };
  out.row = row_of(rate_class, technology);
  if (!out.row) out.row = row_of(rate_class, "");
  out.inherited = !out.row || (out.row->technology.empty() && std::any_of(entries_.rates.begin(), entries_.rates.end(), split));
  std::string at(rate_class);
  while (!out.row && at != "part") {
    const auto parent = std::find_if(entries_.parents.begin(), entries_.parents.end(), [&](const Parent& it) { return it.rate_class == at; });
    at = parent == entries_.parents.end() ? "part" : parent->parent;
    out.row = row_of(at, "");
  }
  HS_REQUIRE(out.row != nullptr, "packs without a rate for every part are refused when loaded");
  const Figure* figure = figure_of(*out.row, profile.id);
  if (!figure) figure = figure_of(*out.row, "aged");
  if (!figure) figure = &out.row->figures.front();
  out.faults = figure->rate * profile.unit;
  out.sample = figure->sample;
  out.per = out.row->per;
  return out;
}

double Knowledge::group_factor(std::string_view rate_class, std::string_view group) const {
  for (const GroupFactor& row : entries_.groups)
    if (row.rate_class == rate_class && row.name == group) return row.factor;
  return 1;
}

const ModeShares* Knowledge::shares(std::string_view rate_class, std::string_view technology) const {
  const ModeShares* of_class = nullptr;
  for (const ModeShares& row : entries_.modes) {
    if (row.rate_class != rate_class) continue;
    if (row.technology == technology) return &row;
    if (row.technology.empty()) of_class = &row;
  }
  return of_class;
}

double Knowledge::doubt(observe::Kind kind, bool sure) const {
  constexpr double kUnknownDoubt = 0.03;
  double chance = kUnknownDoubt;
  for (const Doubt& row : entries_.doubts)
    if (row.kind == kind) chance = row.chance;
  return sure ? std::min(chance, entries_.sure->chance) : chance;
}

double Knowledge::bad_spare(std::string_view grade) const {
  constexpr double kUnknownSpare = 0.05;
  double untested = kUnknownSpare;
  for (const SpareGrade& row : entries_.spares) {
    if (row.grade == grade) return row.bad;
    if (row.grade == "untested") untested = row.bad;
  }
  return untested;
}

}  // namespace halfsplit::knowledge
