#include "predict/travel.h"

namespace halfsplit::predict {

using board::PartId;
using fault::Fault;
using fault::FaultId;
using fault::Hypothesis;
using fault::Site;

namespace {

bool travels(const Fault& fault) { return (fault.site.kind == Site::Kind::part || fault.site.kind == Site::Kind::contact) && fault.site.part.known(); }

}  // namespace

/// Pins are counted within the part, so that the same fault has the same key in every place of its type.
Travel::Key Travel::key(const Fault& fault, PartId place) const {
  const board::PinId pin = fault.pin.known() ? fault.pin : fault.site.pin;
  const std::size_t offset = pin.known() ? pin.index() - machine_.part(fault.site.part).first_pin.index() + 1 : 0;
  return {place, fault.site.kind, fault.mode, offset, fault.element, fault.bit};
}

void Travel::fill() const {
  if (!by_key_.empty()) return;
  for (std::size_t i = 0; i < catalogue_.size(); ++i) {
    const Fault& fault = catalogue_.faults()[i];
    if (travels(fault) && fault.site.spare == 0) by_key_.emplace(key(fault, fault.site.part), FaultId(i));
  }
}

std::optional<FaultId> Travel::acting(FaultId id, const board::Setup& setup) const {
  const Fault& fault = catalogue_.fault(id);
  if (!travels(fault)) return id;
  const auto place = board::place_of({fault.site.part, fault.site.spare}, setup);
  if (!place) return std::nullopt;
  if (*place == fault.site.part && fault.site.spare == 0) return id;
  fill();
  const auto there = by_key_.find(key(fault, *place));
  return there == by_key_.end() ? std::nullopt : std::optional(there->second);
}

Hypothesis Travel::acting(const Hypothesis& hypothesis, const board::Setup& setup) const {
  Hypothesis out;
  for (const FaultId member : hypothesis)
    if (const auto acts = acting(member, setup); acts && !out.holds(*acts)) out = out.with(*acts);
  return out;
}

bool Travel::remade(FaultId id, const board::Setup& setup) const {
  const Fault& fault = catalogue_.fault(id);
  if (fault.site.kind != Site::Kind::joint || !fault.site.part.known() || !machine_.part(fault.site.part).socketed) return false;
  return !(board::in_place(fault.site.part, setup) == board::Thing{fault.site.part, 0});
}

Hypothesis Travel::without_remade(const Hypothesis& hypothesis, const board::Setup& setup) const {
  Hypothesis out;
  for (const FaultId member : hypothesis)
    if (!remade(member, setup)) out = out.with(member);
  return out;
}

}  // namespace halfsplit::predict
