// oracle/clocked/bench.h - looks at a clocked machine as a technician takes them: probe, one bus cycle, functions, memory test, volts.
//
// Idea:     first the healthy machine is explored: transfers with every kind of cycle over many addresses tell who answers and who takes data in; from
//           that a script is thrown (start-up from ROM, variables written and read back, ports). Each faulty machine runs the same script: twice, as a
//           program that crashes on wrong code or variables, and as a test program that needs no memory.
// Shape:    runs are kept by hypothesis and set-up; one is about a hundredth of a second for 30 parts.
// Start at: Bench, Bench::probe().
#pragma once
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "observe/observation.h"
#include "oracle/clocked/simulation.h"

namespace halfsplit::oracle {

enum class Sight : std::uint8_t { low, high, pulsing, floating, middle };
enum class State : std::uint8_t { right, wrong, dead };
const char* name_of(Sight sight);
const char* name_of(State state);

struct MemoryTest { bool reports = false; std::uint32_t failing = 0; };

class Bench {
 public:
  using Faults = std::vector<const fault::Fault*>;
  explicit Bench(const board::Machine& machine, std::uint64_t specimen = 1);

  /// A tip held on the leg, or on the copper of a net, over the whole run.
  Sight probe(const Faults& faults, const board::Setup& setup, const observe::Point& point) const;
  /// Share of the time in which the node is high: what a meter averages.
  double high_share(const Faults& faults, const board::Setup& setup, const observe::Point& point) const;
  /// The leg when data are taken in, over all transfers of that name ("read U3"); nothing when none came.
  std::optional<Sight> in_cycle(const Faults& faults, const board::Setup& setup, board::PinId pin, const std::string& cycle) const;
  State function(const Faults& faults, const board::Setup& setup, board::FunctionId id) const;
  /// What a test program tells of the memory that answers in these parts.
  MemoryTest memory(const Faults& faults, const board::Setup& setup, const std::vector<board::PartId>& parts) const;

  const Script& script() const { return script_; }
  /// Names of the transfers the script makes, sorted: "fetch U2", "write U3", "refresh".
  std::vector<std::string> cycle_names() const;
  /// Sampled reads of the healthy script that not exactly one part drives; empty on a sound machine.
  std::vector<std::string> unsound() const;

 private:
  using Key = std::pair<std::vector<const fault::Fault*>, board::Setup>;
  struct Run {
    std::unique_ptr<Simulation> simulation;
    std::map<std::string, std::vector<std::uint8_t>> in_cycle;  ///< per node: levels seen in transfers of that name
  };
  Run& keep(const Faults& faults, const board::Setup& setup, bool crash) const;
  const Simulation& run(const Faults& faults, const board::Setup& setup, bool crash) const { return *keep(faults, setup, crash).simulation; }
  void look_at_cycles(Run& run) const;
  NodeId node(const Simulation& run, const observe::Point& point) const;
  bool traces_agree(const Simulation& run, const Simulation& healthy, board::PinId pin) const;
  void explore();
  std::vector<Moment> try_out(const std::vector<Transfer>& transfers) const;
  bool is_memory(std::uint32_t part, bool rom) const;
  std::size_t width(std::uint16_t cycle) const;
  std::uint32_t region(std::uint16_t cycle, std::uint32_t address) const;
  std::string name_of_transfer(std::uint16_t cycle, const std::vector<std::uint32_t>& parts) const;

  const board::Machine& machine_;
  std::uint64_t specimen_;
  std::uint32_t processor_part_ = 0;
  const parts::Block* processor_ = nullptr;
  Script script_;
  std::vector<std::string> names_;                        ///< per transfer
  std::map<std::pair<std::uint16_t, std::uint32_t>, std::string> class_of_;  ///< cycle and highest address lines -> name; empty where it differs
  std::vector<std::vector<std::uint32_t>> answering_;     ///< per transfer: parts
  mutable std::map<std::pair<Key, bool>, Run> runs_;
};

}  // namespace halfsplit::oracle
