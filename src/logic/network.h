// logic/network.h - a machine compiled for the activity engine: operations in topological order over slots, storage outside, masters that make cycles.
//
// Shape:    ~2,000 operations, one node each; slots = bus cycles x phases plus one "stopped" slot, in one or two words.
// Idea:     combinational logic is a network of operations; everything that remembers (registers, stored bits, processor alive) is Storage: its state is
//           held fixed while the network settles, then recomputed. Feedback goes through storage only, so the network is acyclic but for
//           small groups (transceivers, latches made of gates), which are solved as greatest fixpoints of monotone set functions.
// Owns:     everything by value. Immutable after compile().
// Start at: Network, compile() in logic/compile.h; evaluated by logic/kernel.h.
#pragma once
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "board/machine.h"
#include "logic/planes.h"
#include "parts/part_type.h"

namespace halfsplit::logic {

inline constexpr std::uint32_t kNone32 = 0xffffffffu;
using NodeId = std::uint32_t;

enum class OpKind : std::uint8_t {
  constant,     ///< aux: index into constants
  conjunction, disjunction, exclusive, negation,
  drive,        ///< data, [enable], [power]: what one output pin puts out; aux = pin
  strong,       ///< resolved drivers of one net, without weak sources; aux = net
  resolve,      ///< the net's value: its strong node, then weak sources by resistance; aux = net
  all_right,    ///< right where all operands are right; used for power, memory access, needs
  both_right,   ///< right where all operands are right, given as planes right / wrong (operands are such nodes)
  storage,      ///< output of a Storage; aux = storage
  master,       ///< output pin of a master in its own and others' cycles; aux = master pin
  delay,        ///< the previous phase of the operand
  phase,        ///< the clock that makes the phases: moving -> low, high, high...; aux = 1 when inverted
  select_stored ///< open, data, stored: transparent latch
};

/// A node read through a pin (a joint or an input that ignores its signal acts on that pin only).
struct Operand {
  NodeId node = kNone32;
  std::uint32_t pin = kNone32;
};

/// One contribution to a net.
struct Contribution {
  NodeId node = kNone32;
  std::uint32_t pin = kNone32;      ///< driving pin, where there is one (its joint can be open)
  std::uint32_t far_pin = kNone32;  ///< a passive's other pin (its joint can be open as well)
  std::uint32_t net = kNone32;      ///< segment it arrives on
  double ohms = 0;                  ///< 0 = strong
  std::uint32_t part = kNone32;     ///< passive or contact it comes through
  std::uint16_t element = 0;
  bool only_when_closed = false;    ///< through a contact that is normally open
  bool low_only = false, high_only = false;  ///< through a diode
  bool moving_only = false;                  ///< through a coupling capacitor
};

struct Op {
  OpKind kind = OpKind::constant;
  bool low_wins = true;
  bool open_low = false;   ///< drive: open collector, drives low only
  bool open_high = false;  ///< drive: open emitter, drives high only
  std::uint32_t first = 0, count = 0;  ///< operands, or contributions for strong and resolve
  std::uint32_t aux = kNone32;
};

/// What is remembered between slots.
struct Storage {
  enum class Kind : std::uint8_t { bit, content, alive, program_rom, program_ram };
  Kind kind = Kind::bit;
  NodeId node = kNone32;              ///< its operation
  std::uint32_t part = kNone32;
  std::uint16_t bit = 0;              ///< content: data bit; bit: output number
  bool counts = false;                ///< counter: moves by itself when clocked
  bool level = false;                 ///< takes its data while the clock term is high, not at an edge
  std::optional<Operand> clock;       ///< bit: edge; content: node (right/wrong planes) of the write strobe
  std::optional<Operand> data;
  std::vector<Operand> also_data;     ///< further data of a shift register
  std::optional<Operand> control;     ///< all_right node: enables, clears, address; alive: the reset expression, true = held
  std::optional<Operand> power;
  std::optional<Operand> write;       ///< content: level of select & write
  std::vector<Operand> inputs;        ///< alive: clock...; program: data legs of the reads
  std::uint32_t master = kNone32;     ///< alive, program
  bool clears = false;                ///< rests low when never clocked
  // Found by the healthy run:
  Planes<Word64> healthy;             ///< state, same in every slot
  std::vector<Word64> samples;        ///< slots in which it takes its data
  bool healthy_moves = false;
};

struct MasterPin {
  std::uint32_t master = 0, pin = kNone32;
  std::vector<Word64> low, high, moves, none;  ///< slots, one word each
  enum class Rest : std::uint8_t { unknown, low, high, open };
  Rest in_reset = Rest::unknown;               ///< strobes idle and data let go while the master is held in reset
};

struct Master {
  std::uint32_t part = kNone32;
  const parts::Block* block = nullptr;
  bool processor = true;               ///< crashes on wrong data; else a second master (video)
  std::uint32_t alive = kNone32, rom = kNone32, ram = kNone32;  ///< storages
  std::vector<Word64> slots;           ///< of its own cycles
};

/// A dynamic memory takes its address in the slots where a strobe begins; found by the healthy run.
struct Sampled {
  NodeId node = kNone32;  ///< all_right over the address pins
  Operand row, column;
  std::vector<Word64> slots;
};
inline constexpr std::uint32_t kWholeCycle = 0xfffffffeu;  ///< aux of all_right: must hold in every slot of the cycle

struct Cycle {
  std::string name;            ///< "read U5", "write U9 U11"
  std::uint32_t master = 0;
  std::uint16_t bus_cycle = 0; ///< index into the master block's cycles
  std::uint32_t fixed = 0, value = 0;  ///< address bits that are constant, and their levels (by position in the address port)
  std::vector<std::uint32_t> parts;    ///< selected parts
  std::vector<std::uint32_t> answers;  ///< those that drive (read) or listen (write)
  std::size_t responders = 1;          ///< who drive (read) or listen (write): 1 on a sound board
  std::uint32_t first_slot = 0, phases = 2;
  std::uint64_t addresses = 0;         ///< size of the group
};

/// Where the settling starts. All but `healthy` compute every node anew.
enum class Start : std::uint8_t {
  healthy,    ///< from the healthy values: what every answer uses
  cold,       ///< from nothing known, flags (states of the storages) good: must agree with `healthy` to the byte
  bad_flags   ///< from nothing known, every flag bad but free to turn good: shows why flags start good (from here no board starts)
};

struct Network {
  const board::Machine* machine = nullptr;
  std::vector<Op> ops;                       ///< in topological order; node id = index
  std::vector<Operand> operands;
  std::vector<Contribution> contributions;
  std::vector<Planes<Word64>> constants;     ///< same in every slot
  std::vector<std::uint32_t> group;          ///< per op: first op of its cyclic group (its own index when alone)
  std::vector<std::uint32_t> group_size;     ///< at the first op
  std::vector<std::uint32_t> readers_first, readers;  ///< per node: ops that read it
  std::vector<std::uint32_t> storage_first, storage_readers;  ///< per node: storages that read it
  std::vector<std::vector<std::uint32_t>> pin_ops, pin_storages;  ///< per pin: operations and storages that read through it
  std::vector<std::vector<std::uint32_t>> part_ops;               ///< per part: nets that a contribution of it reaches
  std::vector<Storage> storages;
  std::vector<Master> masters;
  std::vector<MasterPin> master_pins;
  bool one_value = false;                    ///< a cycle has one slot only, see Slots in logic/cycles.h
  bool phase_inverted = false;               ///< the found clock source is high in the first phase
  std::vector<Sampled> sampled;
  std::vector<Cycle> cycles;
  std::uint32_t words = 1;                   ///< words per hypothesis: 1 or 2
  std::uint32_t slot_count = 0, stopped_slot = 0;
  std::vector<Word64> not_first, not_last, used, normal, stopped, active, last_phase;  ///< slot masks, one word each

  std::vector<NodeId> net_node;              ///< per net: resolve
  std::vector<NodeId> strong_node;           ///< per net: strong, or kNone32
  std::vector<bool> is_supply;               ///< per pin: supply or ground
  std::vector<bool> floats_high;             ///< per pin: its family takes an open input as high
  std::vector<NodeId> drive_node;            ///< per pin: drive, or kNone32
  std::vector<NodeId> power_node;            ///< per part: all_right over its supply pins, or kNone32
  std::vector<NodeId> access_node;           ///< per part: memory or peripheral access, or kNone32
  std::vector<std::vector<std::uint32_t>> part_storages;
  struct Fixed { std::uint32_t part, element, net_a, net_b; };
  std::vector<Fixed> closed;                 ///< contacts that join nets
  std::vector<std::vector<std::uint32_t>> closed_of_net;  ///< per net: indices into closed of its cluster
  std::vector<std::uint32_t> cluster;        ///< per net: cluster number
  std::vector<std::vector<std::uint32_t>> cluster_nets;  ///< per cluster number: its nets

  /// Healthy value of every node, `words` entries a node.
  std::vector<Planes<Word64>> reference;
  const Planes<Word64>& healthy(NodeId node, std::uint32_t word) const { return reference[node * words + word]; }
};

}  // namespace halfsplit::logic
