// A machine back into the files of other programs: unit by unit as IPC-D-356A with a parts list.
#include <algorithm>
#include <map>

#include "app/importing.h"
#include "base/file.h"
#include "base/text.h"
#include "board/spec.h"
#include "netlist/bom.h"
#include "netlist/write_ipc356.h"
#include "parts/library.h"

namespace halfsplit::app {
namespace {

/// One unit as other programs see a board: the pins of its parts, grouped by net; values from the text of the machine.
class UnitFile {
 public:
  UnitFile(const board::Machine& machine, const board::UnitSpec& unit) : machine_(machine), unit_(unit) {}

  netlist::Netlist netlist() {
    out_.title = machine_.title();
    out_.revision = machine_.revision();
    for (const board::PartSpec& spec : unit_.parts) add_part(spec);
    return std::move(out_);
  }

  std::vector<netlist::BomEntry> parts_list() const {
    std::vector<netlist::BomEntry> out;
    for (const board::PartSpec& spec : unit_.parts) {
      netlist::BomEntry entry;
      entry.ref = spec.ref;
      entry.value = spec.value.empty() ? spec.type : spec.value;
      entry.footprint = spec.footprint;
      entry.fitted = spec.fitted;
      out.push_back(std::move(entry));
    }
    return out;
  }

 private:
  void add_part(const board::PartSpec& spec) {
    const auto found = find(spec.ref);
    if (!found) return;
    const board::Part& part = machine_.part(*found);
    netlist::Part file_part;
    file_part.ref = file_part.file_ref = spec.ref;
    const netlist::PartIndex index(out_.parts.size());
    for (std::size_t i = 0; i < part.pin_count; ++i) {
      const board::PinId id = machine_.pin_of(*found, i);
      netlist::Pin pin;
      pin.number = machine_.pin_type(id).number;
      pin.name = machine_.pin_type(id).shown();
      if (machine_.pin(id).net.known()) {
        pin.net = net_of(machine_.pin(id).net);
        out_.nets[pin.net.index()].pins.push_back({index, static_cast<std::uint32_t>(i)});
      }
      netlist::Pad pad;
      const auto at = machine_.pin(id).at ? machine_.pin(id).at : part.at;
      if (at) pad.at = netlist::Point{at->x_mm, at->y_mm};
      pin.pads.push_back(pad);
      file_part.pins.push_back(std::move(pin));
    }
    out_.parts.push_back(std::move(file_part));
  }

  std::optional<board::PartId> find(const std::string& ref) const {
    for (const std::string& name : {unit_.name + "/" + ref, ref})
      if (const auto part = machine_.find_part(name)) return *part;
    return std::nullopt;
  }

  netlist::NetIndex net_of(board::NetId id) {
    const auto [known, fresh] = nets_.try_emplace(id, netlist::NetIndex(out_.nets.size()));
    if (fresh) {
      netlist::Net net;
      net.raw = net.name = machine_.net(id).name;
      out_.nets.push_back(std::move(net));
    }
    return known->second;
  }

  const board::Machine& machine_;
  const board::UnitSpec& unit_;
  netlist::Netlist out_;
  std::map<board::NetId, netlist::NetIndex> nets_;
};

Status write_new(const std::string& path, const std::string& text, std::vector<std::string>& written) {
  if (const Status done = write_file(path, text); !done) return done;
  written.push_back(path);
  return Done{};
}

}  // namespace

Result<report::Exported> export_machine(const Places& places, const std::string& board, const std::string& out, std::uint64_t seed) {
  const auto folder = find_board(places, board);
  if (!folder) return folder.error();
  auto library = parts::Library::open(places.parts());
  if (!library) return library.error();
  const auto spec = board::load_spec(*folder);
  if (!spec) return spec.error();
  const auto machine = board::build(*spec, *library);
  if (!machine) return machine.error();
  report::Exported done;
  for (const board::UnitSpec& unit : spec->units) {
    UnitFile file(**machine, unit);
    const std::string base = spec->units.size() == 1 ? out : out + "-" + unit.name;
    const netlist::Netlist netlist = file.netlist();
    if (const Status written = write_new(base + ".ipc", netlist::write_ipc356(netlist, netlist::ipc356_style(seed)), done.files); !written) return written.error();
    if (const Status written = write_new(base + ".csv", netlist::write_bom(file.parts_list()), done.files); !written) return written.error();
    done.parts += netlist.parts.size();
    done.nets += netlist.nets.size();
  }
  return done;
}

}  // namespace halfsplit::app
