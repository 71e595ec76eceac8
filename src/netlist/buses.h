// netlist/buses.h - which buses the chips of a sketch can have in common, each with its own confidence, and what continuity readings say of them.
//
// Idea:     a bus between two chips is right or wrong as a whole, so two lanes settle it: the lowest and the highest. Only what holds on nearly every
//           board is laid in before anything was measured; data lines wait for the meter, since a buffer may stand between.
// Start at: buses_of(), weigh(), found_joins().
#pragma once
#include <string>
#include <vector>

#include "board/spec.h"
#include "parts/library.h"

namespace halfsplit::netlist {

/// Two tips as read with the meter: "U1.14", "U2.11".
struct Contact { std::string a, b; bool beeps = false; };

/// From this chance on the lanes of a bus are taken as joined; below the other nobody measures it any more.
inline constexpr double kClaimed = 0.9, kHopeless = 0.1;

struct Lane {
  std::string a, b;    ///< pins, "U1.30" and "U2.10"
  enum class Read : std::uint8_t { no, beeps, silent } read = Read::no;
};
struct Bus {
  std::string title;   ///< "data", "address", "row strobe"
  std::string a, b;    ///< references of the two chips
  std::vector<Lane> lanes;  ///< lowest first
  double prior = 0.5;  ///< chance that they are joined lane by lane, before any reading
  bool laid = false;   ///< taken as likely from the start
  double chance = 0.5; ///< after the readings
  /// Lowest and highest lane beep and none is silent.
  bool settled() const;
  bool refuted() const { return chance < kHopeless && !untouched(); }
  /// No longer taken as joined, though it may be.
  bool dropped() const { return chance < 0.5 && !untouched(); }
  bool untouched() const;
  /// The lane to measure next; nothing when settled or hopeless.
  const Lane* next() const;
};

/// The candidates on a sketch; on any other machine none.
std::vector<Bus> buses_of(const board::MachineSpec& spec, const parts::Library& library);
/// Takes the readings in, the last one of a pair counts.
void weigh(std::vector<Bus>& buses, const std::vector<Contact>& contacts);
/// Amendments that the readings come to: pins that beep are joined, lanes of a settled bus are likely, silent lanes laid in before are cut.
std::vector<std::string> found_joins(const std::vector<Bus>& buses, const std::vector<Contact>& contacts);
/// The amendments for what is laid in from the start.
std::vector<std::string> laid_joins(const std::vector<Bus>& buses);

}  // namespace halfsplit::netlist
