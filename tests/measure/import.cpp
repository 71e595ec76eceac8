// tests/measure/import.cpp - published board files through the importer: grouping kept, parts and pins typed, time.
//
// Usage:    measure_import DATA NETLIST BOM [NETLIST BOM ...]   (.ipc or .csv net lists; DATA holds shared/parts)
// Output:   one line a pair; exit 1 when a pair misses 95 % of parts, 90 % of pins or 1 s; 77 without input.
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <filesystem>
#include <map>
#include <set>

#include "base/document.h"
#include "base/text.h"
#include "board/spec.h"
#include "netlist/import.h"
#include "netlist/ipc356.h"
#include "netlist/net_csv.h"

using namespace halfsplit;

namespace {

template <class T>
T take(Result<T> result) {
  if (!result.ok()) {
    std::fprintf(stderr, "%s\n", result.error().text().c_str());
    std::exit(3);
  }
  return std::move(result).value();
}

/// Every pin of the file lies with the same pins in the machine as in the file.
bool grouped_alike(const netlist::Netlist& file, const board::Machine& machine) {
  for (const auto& net : file.nets) {
    std::set<board::NetId> there;
    std::size_t found = 0;
    for (const auto at : net.pins) {
      const auto pin = machine.find_pin(file.part(at.part).ref + "." + file.pin(at).number);
      if (!pin.ok()) continue;
      ++found;
      there.insert(machine.pin(*pin).net);
    }
    if (there.size() > 1 || found != net.pins.size()) {
      std::printf("  net %s: %zu of %zu pins found, on %zu nets\n", net.name.c_str(), found, net.pins.size(), there.size());
      return false;
    }
  }
  return true;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 4 || !std::filesystem::exists(argv[2])) {
    std::puts("skipped: no input");
    return 77;
  }
  const auto library = take(parts::Library::open(std::string(argv[1]) + "/shared/parts"));
  bool good = true;
  for (int i = 2; i + 1 < argc; i += 2) {
    const std::clock_t start = std::clock();
    const auto bytes = take(read_file(argv[i]));
    const auto file = ends_with(argv[i], ".csv") ? take(netlist::read_net_csv(bytes, argv[i])) : take(netlist::read_ipc356(bytes, argv[i]));
    const auto bom = take(netlist::read_bom(take(read_file(argv[i + 1])), argv[i + 1]));
    const auto imported = netlist::import_board(file, &bom, *library, {"imported", ""});
    const auto machine = board::build(imported.spec, library);
    const double seconds = static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC;
    if (!machine.ok()) {
      std::printf("%s: %s\n", argv[i], machine.error().text().c_str());
      good = false;
      continue;
    }
    const double parts = 100.0 * static_cast<double>(imported.typed_parts) / static_cast<double>(imported.netted_parts);
    const double pins = 100.0 * static_cast<double>(imported.typed_pins) / static_cast<double>(imported.pins);
    const bool alike = grouped_alike(file, **machine);
    std::printf("%-40s parts %zu netted %zu typed %.1f %%  pins %zu typed %.1f %%  nets %zu  questions %zu  functions %zu  grouping %s  %.3f s  untyped: %s\n",
                std::filesystem::path(argv[i]).filename().c_str(), imported.parts, imported.netted_parts, parts, imported.pins, pins, imported.nets, imported.spec.questions.size(),
                imported.spec.functions.size(), alike ? "kept" : "LOST", seconds, join(imported.untyped, " ").c_str());
    good = good && alike && parts >= 95 && pins >= 90 && seconds < 1;
    if (const char* out = std::getenv("HALFSPLIT_IMPORT_OUT")) {
      const auto written = board::write_spec(imported.spec, std::string(out) + "/" + std::filesystem::path(argv[i]).stem().string(), true);
      if (!written.ok()) std::printf("  %s\n", written.error().text().c_str());
    }
  }
  return good ? 0 : 1;
}
