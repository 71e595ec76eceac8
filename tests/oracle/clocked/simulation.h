// oracle/clocked/simulation.h - one machine, powered up and run over time by events: chips by the behaviour data of their types, processors as
// generators of bus transfers.
//
// Shape:    time in ticks (a gate takes one, a memory three); the processor's transfers come from a script, after a crash from dice.
// Idea:     a specimen is one machine: what data sheets leave open (first state of a flip-flop, content, an open MOS input) is drawn once by its seed.
// Limits:   no refresh decay, no bus requests, no analogue parts: unsupported() names what is left out.
// Start at: Simulation, run().
#pragma once
#include <cstdint>
#include <map>
#include <memory>
#include <queue>
#include <string>
#include <unordered_map>
#include <vector>

#include "oracle/clocked/wiring.h"

namespace halfsplit::oracle {

/// One transfer a processor is asked to make.
struct Transfer {
  std::uint16_t cycle = 0;         ///< index into its block's cycles
  std::uint32_t address = 0, data = 0;
};
/// What the processor does: a start-up part, then a body that repeats.
struct Script {
  std::vector<Transfer> transfers;
  std::vector<std::uint32_t> expected;  ///< per transfer: what a healthy machine reads; empty while it is being learned
  std::vector<std::uint8_t> crashes;    ///< per transfer: a wrong read crashes the program (code, variables)
};
/// What happened in one transfer, taken when the processor takes in its data.
struct Moment {
  std::uint16_t cycle = 0;
  std::uint32_t address = 0, read = 0;
  std::vector<Level> levels;              ///< per node
  std::vector<std::uint8_t> seen;         ///< per node: 1 << Level of all that stood there since the strobes had settled
  std::vector<std::uint32_t> drivers;     ///< parts that drove the data lines, ascending
  std::vector<std::uint32_t> stored;      ///< parts in which something was stored in this transfer, ascending
};
/// What one node did after the start.
struct NodeRecord { bool low = false, high = false, none = false, middle = false; std::uint64_t high_ticks = 0; };

class Simulation {
 public:
  Simulation(const board::Machine& machine, const board::Setup& setup, std::vector<const fault::Fault*> faults, std::uint64_t specimen);
  ~Simulation();
  /// Runs the script once; `crash` false: goes on over wrong reads, as a test program does that needs no memory.
  void run(const Script& script, bool crash);

  const Wiring& wiring() const { return wiring_; }
  const std::vector<Moment>& moments() const { return moments_; }
  const NodeRecord& record(NodeId node) const { return records_[node]; }
  std::uint64_t recorded_ticks() const { return now_ - recording_since_; }
  bool crashed() const { return crashed_; }
  bool started() const { return started_; }  ///< saw its reset begin and end, and a transfer
  const std::vector<Level>& levels() const { return levels_; }

  /// Behaviour this simulator has no meaning for, by part: "U32: comparator".
  static std::vector<std::string> unsupported(const board::Machine& machine);
  static const parts::Block* processor_of(const board::Machine& machine, std::uint32_t& part);

 private:
  struct Event { std::uint64_t time = 0, serial = 0; std::uint32_t pin = 0; Level level = Level::none; };
  struct Later { bool operator()(const Event& a, const Event& b) const { return a.time != b.time ? a.time > b.time : a.serial > b.serial; } };
  struct BlockState;
  struct Master;

  bool sense(std::uint32_t pin);
  bool value(std::uint32_t part, const parts::Expression& expression);
  bool term(std::uint32_t part, const parts::Block& block, const char* name, bool otherwise);
  bool powered(std::uint32_t part) const;
  void put(std::uint32_t pin, Level level, std::uint32_t delay);
  void put(std::uint32_t part, std::uint16_t type_pin, bool level, bool enabled, std::uint32_t delay);
  void evaluate(std::uint32_t part);
  void gate(std::uint32_t part, const parts::Block& block);
  void clocked(std::uint32_t part, const parts::Block& block, BlockState& state);
  void latch(std::uint32_t part, const parts::Block& block, BlockState& state);
  void memory(std::uint32_t part, const parts::Block& block, BlockState& state);
  void box(std::uint32_t part, const parts::Block& block, BlockState& state);
  void show(std::uint32_t part, const parts::Block& block, const BlockState& state);
  std::uint32_t content(std::uint32_t part, const BlockState& state, std::uint32_t address, std::uint32_t width) const;
  std::uint32_t spoilt(std::uint32_t part, std::uint32_t address, std::uint32_t word, std::uint32_t width) const;
  void note_stored(std::uint32_t part) { stored_now_.push_back(part); }
  void tell_stored();
  void process();
  void touch(std::uint32_t pin);
  void account(NodeId node);
  void look_afresh();
  void clock_master(Master& master);
  void begin(Master& master);
  void drive_levels(Master& master, const std::vector<std::pair<std::uint16_t, bool>>& levels);
  void drive_address(Master& master, bool on);
  void finish(Master& master);
  std::uint64_t dice(const std::string& what) const;

  const board::Machine& machine_;
  std::vector<const fault::Fault*> faults_;
  std::uint64_t specimen_;
  Wiring wiring_;
  std::vector<Level> drives_, levels_;
  std::vector<std::uint64_t> pending_;          ///< per pin: serial of the newest event
  std::vector<Level> pending_level_;
  std::priority_queue<Event, std::vector<Event>, Later> events_;
  std::uint64_t now_ = 0, serial_ = 0, recording_since_ = 0;
  std::vector<std::unique_ptr<BlockState>> states_;
  std::vector<std::vector<std::size_t>> state_of_;  ///< per part: per block, index into states_
  std::vector<std::unique_ptr<Master>> masters_;
  std::vector<bool> queued_;
  std::vector<std::uint32_t> to_evaluate_;
  std::vector<NodeRecord> records_;
  std::vector<std::uint64_t> since_;
  std::vector<std::uint8_t> seen_;
  std::uint64_t settled_at_ = 0;  ///< when to begin with seen_ anew; 0 = done
  std::vector<Moment> moments_;
  std::vector<std::uint32_t> stored_now_;
  const Script* script_ = nullptr;
  bool crash_on_wrong_ = true, crashed_ = false, started_ = false, recording_ = false;
  std::size_t turn_ = 0;
  std::uint64_t turn_since_ = 0;
};

}  // namespace halfsplit::oracle
