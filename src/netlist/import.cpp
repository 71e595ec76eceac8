#include "netlist/import.h"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <map>
#include <set>

#include "base/text.h"
#include "netlist/guess.h"
#include "parts/match.h"

namespace halfsplit::netlist {
namespace {

using board::FunctionSpec;
using board::PartSpec;
using board::Question;
using parts::PinRole;
using parts::Template;

halfsplit::Node text_node(std::string text) {
  halfsplit::Node node;
  node.kind = halfsplit::Node::Kind::text;
  node.text = std::move(text);
  return node;
}
halfsplit::Node number_node(std::int64_t value) {
  halfsplit::Node node;
  node.kind = halfsplit::Node::Kind::integer;
  node.integer = value;
  node.real = static_cast<double>(value);
  return node;
}
halfsplit::Node truth_node(bool value) {
  halfsplit::Node node;
  node.kind = halfsplit::Node::Kind::boolean;
  node.boolean = value;
  return node;
}

class Importer {
 public:
  Importer(const Netlist& netlist, const Bom* bom, const parts::Library& library, const ImportOptions& options) : file_(netlist), bom_(bom), library_(library) {
    out_.spec.id = options.id;
    out_.spec.title = options.title.empty() ? options.id : options.title;
    out_.spec.revision = netlist.revision;
    out_.deviations = netlist.deviations;
    out_.notes = netlist.notes;
    if (bom) {
      out_.deviations.insert(out_.deviations.end(), bom->deviations.begin(), bom->deviations.end());
      out_.notes.insert(out_.notes.end(), bom->notes.begin(), bom->notes.end());
    }
  }

  Imported run() {
    unit_.title = out_.spec.title;
    unit_.revision = file_.revision;
    make_parts();
    make_nets();
    find_power();
    add_surroundings();
    add_functions();
    out_.spec.units.push_back(std::move(unit_));
    return std::move(out_);
  }

 private:
  bool on_net(const Pin& pin) const { return pin.net.known() && file_.net(pin.net).pins.size() > 1; }

  void make_parts() {
    out_.parts = file_.parts.size();
    std::vector<std::string> bare;
    for (std::size_t i = 0; i < file_.parts.size(); ++i) {
      const Part& part = file_.parts[i];
      std::size_t netted = 0;
      for (const Pin& pin : part.pins) netted += pin.net.known();
      types_.push_back(nullptr);
      if (netted == 0) {
        bare.push_back(part.ref);
        continue;
      }
      ++out_.netted_parts;
      out_.pins += netted;
      add_part(i, part, netted);
    }
    if (!bare.empty()) out_.notes.push_back("without any net, so left out: " + join(bare, ", "));
    if (!missing_.empty()) out_.notes.push_back("not in the parts list, maybe not fitted: " + join(missing_, ", "));
  }

  void add_part(std::size_t index, const Part& part, std::size_t netted) {
    PartSpec spec;
    spec.ref = clean_reference(part.ref);
    refs_[index] = spec.ref;
    const BomEntry* entry = bom_ ? bom_->find(part.file_ref) : nullptr;
    if (bom_ && !entry) entry = bom_->find(part.ref);
    parts::PartDescription description;
    description.reference = part.ref;
    if (entry) {
      description.value = entry->value;
      description.footprint = entry->footprint;
      spec.footprint = entry->footprint;
    }
    for (const Pin& pin : part.pins) description.pins.push_back(pin.number);
    description.pin_count = part.pins.size();
    const auto match = parts::match_type(library_, description);
    const parts::PartType* type = nullptr;
    if (match) {
      const auto found = library_.type_with_pins(match->type, description.pins);
      if (found.ok()) type = found.value();
    }
    if (type) {
      spec.type = match->type;
      spec.family = match->family == type->family ? "" : match->family;
      spec.value = match->value;
      if (!match->ask.empty()) ask_type(spec, *match);
      if (!type->custom) {
        ++out_.typed_parts;
        out_.typed_pins += netted;
      } else {
        out_.untyped.push_back(spec.ref);
      }
    } else {
      spec.type = custom_type(part, description.value);
      spec.value = description.value;
      out_.untyped.push_back(spec.ref);
    }
    if (spec.value.empty() && entry) spec.value = entry->value;
    types_[index] = type;
    spec.fitted = entry ? entry->fitted : true;
    if (upper(spec.footprint).find("SOCKET") != std::string::npos) spec.socketed = true;
    place(spec, part);
    if (type == nullptr || !plain_pins(*type)) {
    } else {
      for (const Pin& pin : part.pins) spec.pin_numbers.push_back(pin.number);
      if (match && match->type.find('/') != std::string::npos) spec.pin_numbers.clear();
    }
    if (bom_ && !entry && type && type->rate_class != "mechanics") {
      missing_.push_back(spec.ref);
      out_.spec.questions.push_back({"fitted-" + lower(spec.ref), "The parts list does not name " + spec.ref + ": is it fitted?",
                                     {{"yes", {}}, {"no", {"missing " + spec.ref}}}, {}});
    }
    if (type) ask_links(spec, *type);
    unit_.parts.push_back(std::move(spec));
  }
  static bool plain_pins(const parts::PartType& type) { return type.id == "header" || type.id == "connector"; }

  static std::string clean_reference(const std::string& ref) {
    std::string out;
    for (const char c : ref) out += (c == ' ' || c == '.' || c == '/' || c == '~' || c == ',' || c == '@' || c == '=' || c == '*') ? '_' : c;
    return out.empty() ? "X" : out;
  }
  void place(PartSpec& spec, const Part& part) const {
    double x = 0, y = 0;
    std::size_t n = 0;
    for (const Pin& pin : part.pins)
      for (const Pad& pad : pin.pads)
        if (pad.at) { x += pad.at->x_mm; y += pad.at->y_mm; ++n; }
    if (n > 0) spec.at = board::Position{std::round(x / static_cast<double>(n) * 100) / 100, std::round(y / static_cast<double>(n) * 100) / 100};
  }

  void ask_type(const PartSpec& spec, const parts::TypeMatch& match) {
    Question::Answer yes{"yes", {}}, no{"no", {}};
    if (!match.otherwise.empty()) no.amendments.push_back("fit " + spec.ref + " " + match.otherwise);
    out_.spec.questions.push_back({"type-" + lower(spec.ref), match.ask, {yes, no}, {}});
  }
  /// Links and jumpers may be the other way on this specimen.
  void ask_links(const PartSpec& spec, const parts::PartType& type) {
    if (!starts_with(type.id, "jumper")) return;
    bool closed = false;
    for (const auto& block : type.blocks) closed = closed || (block.kind == Template::contact && block.word("closed").value_or("true") == "true");
    const std::string now = closed ? "as drawn (bridged)" : "open", other = closed ? "open" : "closed";
    out_.spec.questions.push_back({"link-" + lower(spec.ref), "Link " + spec.ref + " is taken as " + now + ": is it?",
                                   {{"yes", {}}, {"no", {"jumper " + spec.ref + " " + other}}}, {}});
  }

  /// A chip nobody knows: pins with roles guessed from the names of their nets.
  std::string custom_type(const Part& part, const std::string& value) {
    const std::string id = "custom-" + lower(clean_reference(part.ref));
    halfsplit::Node type;
    halfsplit::Node pins;
    pins.kind = halfsplit::Node::Kind::array;
    std::set<std::string> used;
    for (const Pin& pin : part.pins) {
      std::string name;
      for (const char c : pin.number) name += std::isalnum(static_cast<unsigned char>(c)) ? c : '_';
      name = "P" + name;
      while (!used.insert(name).second) name += "_";
      const std::string net = pin.net.known() ? file_.net(pin.net).name : "";
      pins.items.push_back(text_node(pin.number + " " + name + " " + (net.empty() ? "nc" : role_for(net))));
    }
    const auto add = [&](const char* key, halfsplit::Node node) { type.members.push_back({key, {}, std::move(node)}); };
    add("format", number_node(1));
    add("id", text_node(id));
    add("title", text_node("unknown part" + (value.empty() ? std::string() : " marked " + value)));
    add("class", text_node("custom"));
    add("custom", truth_node(true));
    add("pins", std::move(pins));
    unit_.types.push_back(std::move(type));
    return id;
  }

  void make_nets() {
    std::set<std::string> names;
    for (std::size_t n = 0; n < file_.nets.size(); ++n) {
      const Net& net = file_.nets[n];
      board::NetSpec spec;
      spec.name = net.name;
      for (int i = 2; !names.insert(lower(spec.name)).second; ++i) spec.name = net.name + " #" + std::to_string(i);
      for (const PinAt at : net.pins)
        if (const auto ref = refs_.find(at.part.index()); ref != refs_.end()) spec.pins.push_back({ref->second, file_.pin(at).number, {}});
      net_names_.push_back(spec.name);
      if (spec.pins.size() < 2) continue;
      ++out_.nets;
      unit_.nets.push_back(std::move(spec));
    }
  }

  // ---- ground and supplies by vote ----
  const parts::Pin* type_pin(PinAt at) const {
    const auto* type = types_[at.part.index()];
    if (!type) return nullptr;
    const auto index = type->pin_by_number(file_.pin(at).number);
    return index ? &type->pins[*index] : nullptr;
  }
  void find_power() {
    std::vector<double> ground(file_.nets.size(), 0);
    std::vector<std::map<double, int>> supply(file_.nets.size());
    std::vector<bool> regulated(file_.nets.size(), false);
    for (std::size_t n = 0; n < file_.nets.size(); ++n) {
      for (const PinAt at : file_.nets[n].pins) {
        const auto* pin = type_pin(at);
        if (!pin) continue;
        ground[n] += pin->role == PinRole::ground;
        if (pin->role == PinRole::supply) ++supply[n][pin->rail_v];
        for (const auto& block : types_[at.part.index()]->blocks)
          if (block.kind == Template::regulator)
            for (const auto out : block.port("out"))
              if (&types_[at.part.index()]->pins[out] == pin) { regulated[n] = true; ++supply[n][block.number("volts").value_or(5)]; }
      }
      if (names_ground(file_.nets[n].name)) ground[n] += 2;
    }
    std::size_t best = 0;
    for (std::size_t n = 1; n < ground.size(); ++n)
      if (ground[n] > ground[best]) best = n;
    if (ground.empty()) return;
    for (std::size_t n = 0; n < file_.nets.size(); ++n) {
      const bool is_ground = n == best ? ground[n] > 0 : names_ground(file_.nets[n].name) && ground[n] >= 2;
      if (is_ground && file_.nets[n].pins.size() > 1) { unit_.grounds.push_back(net_names_[n]); power_.insert(n); }
    }
    for (std::size_t n = 0; n < file_.nets.size(); ++n) {
      if (power_.count(n) || file_.nets[n].pins.size() < 2) continue;
      const auto named = rail_volts(file_.nets[n].name);
      if (supply[n].empty() && !(named && file_.nets[n].pins.size() > 3)) continue;
      board::SupplySpec rail;
      rail.net = net_names_[n];
      int most = 0;
      for (const auto& [volts, count] : supply[n])
        if (volts != 0 && count > most) { rail.volts = volts; most = count; }
      if (rail.volts == 0) rail.volts = named.value_or(9);
      if (rail.volts == 9 && !named) rail.tolerance = 0.3;
      if (!regulated[n]) rail.from = "SUPPLY";
      unit_.supplies.push_back(rail);
      power_.insert(n);
    }
    if (unit_.grounds.empty()) out_.notes.push_back("no ground was found: name it in board.toml (grounds = [...])");
    if (unit_.supplies.empty()) out_.notes.push_back("no supply was found: add a [[supply]] to board.toml");
  }

  void add_surroundings() {
    for (const auto& [ref, type] : {std::pair{"SUPPLY", "supply-unit"}, std::pair{"DISPLAY", "display"}, std::pair{"LEAD", "lead"}, std::pair{"MEDIUM", "medium"},
                                    std::pair{"OPERATOR", "operator"}}) {
      PartSpec part;
      part.ref = ref;
      part.type = type;
      out_.spec.surroundings.push_back(part);
    }
  }

  // ---- functions that an owner would name ----
  void add_functions() {
    for (std::size_t i = 0; i < file_.parts.size(); ++i) {
      const auto* type = types_[i];
      if (!type) continue;
      for (const auto& block : type->blocks)
        if (block.kind == Template::processor && !block.cycles.empty() && !block.cycles.front().setup.empty()) {
          const std::string need = refs_[i] + "." + type->pins[block.cycles.front().setup.front().first].number;
          if (!has_function("runs")) add_function("runs", "it runs its program", "runs", {need});
          if (!has_function("rom-starts")) add_function("rom-starts", "the start-up program begins", "rom-starts", {need});
        }
    }
    for (std::size_t i = 0; i < file_.parts.size(); ++i) connector_function(i);
    for (std::size_t i = 0; i < file_.parts.size(); ++i) key_function(i);
  }
  bool has_function(const std::string& id) const {
    return std::any_of(out_.spec.functions.begin(), out_.spec.functions.end(), [&](const FunctionSpec& f) { return f.id == id; });
  }
  void add_function(std::string id, std::string title, std::string kind, std::vector<std::string> needs, std::string held = {}) {
    std::string unique = id;
    for (int n = 2; has_function(unique); ++n) unique = id + "-" + std::to_string(n);
    FunctionSpec f;
    f.id = unique;
    f.title = std::move(title);
    f.kind = std::move(kind);
    f.needs = std::move(needs);
    f.held = std::move(held);
    out_.spec.functions.push_back(std::move(f));
  }
  bool is_power(const Pin& pin) const { return pin.net.known() && power_.count(pin.net.index()) > 0; }

  void connector_function(std::size_t i) {
    const auto* type = types_[i];
    const bool plug = type && (type->rate_class == "connector" || type->rate_class == "loudspeaker");
    if (!plug || refs_.find(i) == refs_.end()) return;
    const Part& part = file_.parts[i];
    const BomEntry* entry = bom_ ? bom_->find(part.file_ref) : nullptr;
    std::string job = entry ? job_of(entry->value, entry->footprint) : "";
    if (type->rate_class == "loudspeaker") job = "sound";
    std::vector<std::string> needs;
    for (const Pin& pin : part.pins) {
      if (!on_net(pin) || is_power(pin)) continue;
      if (job.empty()) job = job_of_net(file_.net(pin.net).name);
      if (brings_out(pin, i)) needs.push_back(refs_[i] + "." + pin.number);
    }
    if (job.empty() || needs.empty()) return;
    static const std::map<std::string, std::string> titles{{"picture", "picture on the display"}, {"sound", "sound"}, {"serial", "serial line"}, {"cassette", "recording and loading"}, {"disk", "disk drive"}};
    static const std::map<std::string, std::string> around{{"picture", "DISPLAY"}, {"cassette", "MEDIUM"}, {"disk", "MEDIUM"}, {"serial", "LEAD"}};
    if (const auto at = around.find(job); at != around.end()) needs.push_back("part " + at->second);
    add_function(job, titles.at(job) + " (" + refs_[i] + ")", job, needs);
  }
  /// The net carries something out: a driver sits on it, or a resistor or capacitor leads to one.
  bool brings_out(const Pin& pin, std::size_t self) const {
    for (const PinAt at : file_.net(pin.net).pins) {
      if (at.part.index() == self) continue;
      const auto* other = type_pin(at);
      if (other && (other->role == PinRole::output || other->role == PinRole::three_state || other->role == PinRole::analog_out)) return true;
      const auto* type = types_[at.part.index()];
      if (type && type->pins.size() == 2 && (type->rate_class == "resistor" || type->rate_class == "ceramic")) return true;
    }
    return false;
  }

  void key_function(std::size_t i) {
    const auto* type = types_[i];
    if (!type || type->rate_class != "key contact" || refs_.find(i) == refs_.end()) return;
    const Part& part = file_.parts[i];
    const BomEntry* entry = bom_ ? bom_->find(part.file_ref) : nullptr;
    const std::string label = entry && !entry->value.empty() ? entry->value : refs_[i];
    std::string need, plug;
    for (const Pin& pin : part.pins) {
      if (!on_net(pin) || is_power(pin)) continue;
      for (const PinAt at : file_.net(pin.net).pins) {
        if (at.part.index() == i) continue;
        const auto* other = type_pin(at);
        const auto* other_type = types_[at.part.index()];
        const std::string name = refs_.count(at.part.index()) ? refs_.at(at.part.index()) + "." + file_.pin(at).number : "";
        if (need.empty() && other && parts::listens(other->role)) need = name;
        if (plug.empty() && other_type && other_type->rate_class == "connector") plug = name;
      }
    }
    if (need.empty()) need = plug;
    if (need.empty() || upper(label).find("RESET") != std::string::npos) return;
    std::string id;
    for (const char c : lower(label)) id += std::isalnum(static_cast<unsigned char>(c)) ? std::string(1, c) : id.empty() || id.back() == '-' ? "" : "-";
    while (!id.empty() && id.back() == '-') id.pop_back();
    add_function("key-" + (id.empty() ? lower(refs_[i]) : id), "key " + label, "key", {need, "part OPERATOR"}, refs_[i]);
  }

  const Netlist& file_;
  const Bom* bom_;
  const parts::Library& library_;
  Imported out_;
  board::UnitSpec unit_;
  std::vector<const parts::PartType*> types_;
  std::map<std::size_t, std::string> refs_;
  std::vector<std::string> net_names_, missing_;
  std::set<std::size_t> power_;
};

}  // namespace

Imported import_board(const Netlist& netlist, const Bom* bom, const parts::Library& library, const ImportOptions& options) {
  return Importer(netlist, bom, library, options).run();
}

}  // namespace halfsplit::netlist
