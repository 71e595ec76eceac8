// logic/activity.h - what a probe, a scope and a dump see on logic, for many hypotheses at once: sets of possible answers.
//
// Shape:    a Look is one question (a leg, a net or a function, seen one way); an answer is a small bit set of what can be seen.
// Owns:     the compiled network; const and safe to share; each call has a kernel of its own while it runs.
// Cost:     about 10 us a hypothesis, packed; see docs/measurements.md.
// Start at: Activity::build(), Activity::look().
#pragma once
#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "board/lint.h"
#include "board/setup.h"
#include "fault/fault.h"
#include "logic/banks.h"
#include "logic/cycles.h"

namespace halfsplit::logic {

/// Bits of an answer. Probe looks use the first five; right/wrong/dead belong to content and functions; dead is also a triggered look in a slot that
/// never occurs.
enum Seen : std::uint8_t { kLow = 1, kHigh = 2, kPulsing = 4, kFloating = 8, kMiddle = 16, kRight = 32, kWrong = 64, kDead = 128 };

struct Look {
  enum class Kind : std::uint8_t {
    leg,       ///< probe on a pin's leg: union over all slots that occur
    net,       ///< probe on a net (a pad)
    slot,      ///< one slot of a leg: level there (triggered)
    cycle,     ///< last phase of one cycle, on a leg
    content,   ///< right or wrong in the last phase of one cycle, on a leg, before a crash
    stored,    ///< right or wrong in any cycle, on a leg, before a crash
    stored_net,  ///< the same on a net
    bank,      ///< right or wrong where a bank of memory is read back, on a data leg of the processor, before a crash
    starts,    ///< a processor and the program it starts with: right, wrong, before a crash
    function,  ///< a function of the machine
    power      ///< a part's supply pins: right, wrong
  };
  Kind kind = Kind::leg;
  std::uint32_t id = 0;     ///< pin, net, function, part or master
  std::uint32_t slot = 0;   ///< kind slot: slot; kinds cycle, content: cycle number; kind bank: bank number
};

/// Faults and bench actions of one hypothesis: one type for both.
struct Overlay {
  const board::Setup* setup = nullptr;
  std::vector<const fault::Fault*> faults;
  /// Outputs of an unlisted part that have been observed: what was seen there (Seen) is what they put out.
  std::vector<std::pair<std::uint32_t, Seen>> observed_outputs;
};

class Activity {
 public:
  /// `slots`: for the test that one value a cycle is refused; everything else takes phases.
  static std::shared_ptr<const Activity> build(const board::Machine& machine, Slots slots = Slots::phases);
  ~Activity();
  const Network& network() const { return prepared_.network; }
  const Prepared& prepared() const { return prepared_; }
  const std::vector<Bank>& banks() const { return banks_; }
  const board::Machine& machine() const { return *prepared_.network.machine; }

  /// answers[h * looks.size() + k]. Packed eight (or four) side by side.
  void look(const std::vector<Overlay>& overlays, const std::vector<Look>& looks, std::uint8_t* answers) const;
  /// The same, one hypothesis at a time. For tests: from the healthy values and cold must agree to the byte.
  void look_unpacked(const std::vector<Overlay>& overlays, const std::vector<Look>& looks, std::uint8_t* answers, Start start) const;
  /// Whether a fault changes anything this engine computes.
  bool acts(const fault::Fault& fault) const;
  /// Operations and storages through which a fault can act on a node; for reach: true when the fault can change the look.
  std::vector<bool> upstream(const Look& look) const;
  bool touches(const fault::Fault& fault, const std::vector<bool>& upstream_ops) const;

 private:
  explicit Activity(Prepared prepared);
  Prepared prepared_;
  std::vector<Bank> banks_;
  struct Kernels;  ///< idle kernels: making one costs as much as some hypotheses
  std::unique_ptr<Kernels> kernels_;
};

}  // namespace halfsplit::logic
