#include <cmath>

#include "circuit/law.h"

namespace halfsplit::circuit {
namespace {

class Tolerances {
 public:
  Tolerances(const std::array<double, kMostTerminals>& volts, const Response& response, std::vector<Perturbation>& out) : v_(volts), r_(response), out_(out) {}
  void operator()(const Nothing&) {}
  void operator()(const Resistor& r) { add(0, 1, r.spread * r.siemens * (v_[0] - v_[1])); }
  void operator()(const Source& s) { add(0, 1, s.spread_v * r_.slope[0][0]); }
  /// Forward, a shift of the voltage; backward, of the breakdown.
  void operator()(const Junction& j) { add(0, 1, r_.slope[0][0] * (r_.current[0] < 0 && j.breakdown_v > 0 ? j.breakdown_spread_v : j.spread_v)); }
  void operator()(const Bipolar& q) {
    add(0, 2, r_.slope[0][1] * q.spread_v);
    add(1, 2, r_.slope[1][1] * q.spread_v);
    add(1, 2, q.gain_spread * r_.current[1]);
  }
  void operator()(const Channel& m) { add(0, 2, r_.slope[0][1] * m.spread_v); }
  void operator()(const Regulator& r) {
    add(0, 1, r_.slope[0][1] * r.spread_v);
    add(0, 1, 0.1 * r_.current[0]);
  }
  void operator()(const Load& l) { add(0, 1, l.spread * r_.current[0]); }
  void operator()(const Stage& s) {
    const double slope = r_.slope[0][0];
    const double level = s.drive == Drive::moving ? 0.9 : s.drive == Drive::high ? 0.2 : s.drive == Drive::low ? 0.05 : 0.15;
    add(0, s.drive == Drive::low ? 2 : 1, slope * level);
    add(0, s.drive == Drive::low ? 2 : 1, 0.2 * r_.current[0]);
  }
  void operator()(const Amplifier& a) { add(2, 3, r_.slope[2][0] * a.offset_v); }

 private:
  void add(std::uint8_t from, std::uint8_t to, double amps) {
    if (amps != 0) out_.push_back({from, to, std::abs(amps)});
  }
  const std::array<double, kMostTerminals>& v_;
  const Response& r_;
  std::vector<Perturbation>& out_;
};

}  // namespace

void perturbations(const Device& device, const std::array<double, kMostTerminals>& volts, const Response& response, std::vector<Perturbation>& out) {
  Tolerances each(volts, response, out);
  std::visit(each, device.law);
}

}  // namespace halfsplit::circuit
