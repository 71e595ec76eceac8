#include "predict/answers.h"

#include <map>

namespace halfsplit::predict {

using fault::Fault;
using fault::Site;
using logic::Look;
using logic::Overlay;

namespace {
constexpr std::size_t kWorthTable = 16;  ///< fewer hypotheses than this are simulated when there is no table yet
}

Answers::Answers(const fault::Catalogue& catalogue, std::shared_ptr<const logic::Activity> activity, TableKeeper* keeper)
    : catalogue_(catalogue), activity_(std::move(activity)), keeper_(keeper) {
  columns_ = 2 * activity_->machine().nets().size() + activity_->machine().functions().size();
  for (std::uint32_t b = 0; b < activity_->banks().size(); ++b) {
    const logic::Bank& bank = activity_->banks()[b];
    for (const auto pin : bank.data_pins) test_looks_.push_back({Look::Kind::bank, pin, b});
  }
  for (std::uint32_t m = 0; m < activity_->network().masters.size(); ++m) test_looks_.push_back({Look::Kind::starts, m, 0});
  first_test_ = columns_;
  columns_ += test_looks_.size();
}

std::optional<std::size_t> Answers::column(const Look& look) const {
  const auto& machine = activity_->machine();
  if (look.kind == Look::Kind::net) return look.id;
  if (look.kind == Look::Kind::leg && machine.pins()[look.id].net.known()) return machine.pins()[look.id].net.index();
  if (look.kind == Look::Kind::stored && machine.pins()[look.id].net.known()) return machine.nets().size() + machine.pins()[look.id].net.index();
  if (look.kind == Look::Kind::function && !machine.functions()[look.id].held) return 2 * machine.nets().size() + look.id;
  for (std::size_t i = 0; i < test_looks_.size(); ++i)
    if (test_looks_[i].kind == look.kind && test_looks_[i].id == look.id && test_looks_[i].slot == look.slot) return first_test_ + i;
  return std::nullopt;
}

/// Two faults with one effect share a row: an open joint, a cut track and a wrong net of one pin all part it from its net.
void Answers::fill_table() const {
  const auto& machine = activity_->machine();
  std::vector<Look> looks;
  for (std::uint32_t i = 0; i < machine.nets().size(); ++i) looks.push_back({Look::Kind::net, i, 0});
  for (std::uint32_t i = 0; i < machine.nets().size(); ++i) looks.push_back({Look::Kind::stored_net, i, 0});
  for (std::uint32_t i = 0; i < machine.functions().size(); ++i) looks.push_back({Look::Kind::function, i, 0});
  looks.insert(looks.end(), test_looks_.begin(), test_looks_.end());
  std::vector<Overlay> overlays{Overlay{}};
  std::map<std::uint32_t, std::uint32_t> parted;
  row_of_.assign(catalogue_.size(), 0);
  for (std::uint32_t f = 0; f < catalogue_.size(); ++f) {
    const Fault& fault = catalogue_.faults()[f];
    const bool parts_pin = fault.site.kind == Site::Kind::joint || fault.site.kind == Site::Kind::track || fault.site.kind == Site::Kind::drawing;
    if (parts_pin) {
      const auto [known, fresh] = parted.try_emplace(fault.site.pin.index(), static_cast<std::uint32_t>(overlays.size()));
      row_of_[f] = known->second;
      if (!fresh) continue;
    } else if (fault.effect == parts::Effect::none || fault.effect == parts::Effect::drifted || fault.effect == parts::Effect::resistive || fault.site.kind == Site::Kind::outside ||
               fault.site.spare > 0) {  // a spare acts as the part of its place does
      continue;
    } else {
      row_of_[f] = static_cast<std::uint32_t>(overlays.size());
    }
    Overlay overlay;
    overlay.faults = {&fault};
    overlays.push_back(std::move(overlay));
  }
  if (load_table(overlays.size())) return;
  table_.resize(overlays.size() * columns_);
  activity_->look(overlays, looks, table_.data());
  if (keeper_) keeper_->keep({reinterpret_cast<const char*>(table_.data()), table_.size()});
}

bool Answers::load_table(std::size_t rows) const {
  if (!keeper_) return false;
  const auto bytes = keeper_->load();
  if (!bytes || bytes->size() != rows * columns_) return false;
  table_.assign(bytes->begin(), bytes->end());
  return true;
}

/// The leg's own joint or input is touched by the hypothesis, so the leg may show something else than the net.
bool Answers::differs_at_leg(const fault::Hypothesis& hypothesis, const Look& look) const {
  if (look.kind != Look::Kind::leg && look.kind != Look::Kind::stored) return false;
  for (const auto id : hypothesis) {
    const Fault& f = catalogue_.fault(id);
    if (f.site.pin.known() && f.site.pin.index() == look.id) return true;
    if (f.effect == parts::Effect::open && f.pin.known() && f.pin.index() == look.id) return true;
  }
  return false;
}

std::vector<std::uint8_t> Answers::ask(const board::Setup& setup, const std::vector<Case>& cases, const std::vector<Look>& looks, StepBudget& budget) const {
  std::vector<std::uint8_t> out(cases.size() * looks.size(), 0);
  std::vector<std::optional<std::size_t>> columns;
  bool all_in_table = setup.actions().empty();
  for (const Look& look : looks) {
    columns.push_back(column(look));
    all_in_table = all_in_table && columns.back().has_value();
  }
  if (all_in_table && table_.empty() && cases.size() >= kWorthTable) fill_table();
  all_in_table = all_in_table && !table_.empty();
  std::vector<std::size_t> simulated;
  for (std::size_t c = 0; c < cases.size(); ++c) {
    const auto& h = cases[c].hypothesis;
    bool tabled = all_in_table && h.size() <= 1 && cases[c].observed_outputs.empty();
    for (std::size_t k = 0; tabled && k < looks.size(); ++k) tabled = !differs_at_leg(h, looks[k]);
    if (!tabled) {
      if (budget.take()) simulated.push_back(c);
      continue;
    }
    const std::size_t row = h.empty() ? 0 : row_of_[h[0].index()];
    for (std::size_t k = 0; k < looks.size(); ++k) out[c * looks.size() + k] = table_[row * columns_ + *columns[k]];
  }
  if (simulated.empty()) return out;
  std::vector<Overlay> overlays;
  for (const auto c : simulated) {
    Overlay overlay;
    overlay.setup = &setup;
    for (const auto id : cases[c].hypothesis) overlay.faults.push_back(&catalogue_.fault(id));
    overlay.observed_outputs = cases[c].observed_outputs;
    overlays.push_back(std::move(overlay));
  }
  std::vector<std::uint8_t> answers(overlays.size() * looks.size());
  activity_->look(overlays, looks, answers.data());
  for (std::size_t i = 0; i < simulated.size(); ++i)
    std::copy_n(answers.begin() + static_cast<std::ptrdiff_t>(i * looks.size()), looks.size(), out.begin() + static_cast<std::ptrdiff_t>(simulated[i] * looks.size()));
  return out;
}

}  // namespace halfsplit::predict
