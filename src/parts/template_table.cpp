#include "parts/template_table.h"

namespace halfsplit::parts {

namespace {

using Kind = KeyRule::Kind;
constexpr bool kNeeded = true, kMayBeLeftOut = false, kOne = true, kSeveral = false;

constexpr KeyRule kGate[] = {
    {"out", Kind::drivers, kNeeded},
    {"is", Kind::terms, kNeeded, kSeveral, "out"},
    {"when", Kind::terms, kMayBeLeftOut, kSeveral, "out"},
    {"drive", Kind::choice, kMayBeLeftOut, kOne, {}, "push-pull open-collector open-emitter"},
};
constexpr KeyRule kRegister[] = {
    {"q", Kind::drivers, kNeeded},
    {"qn", Kind::drivers, kMayBeLeftOut, kSeveral, "q"},
    {"d", Kind::terms, kNeeded, kSeveral, "q"},
    {"clock", Kind::terms, kNeeded, kOne},
    {"enable", Kind::terms, kMayBeLeftOut, kOne},
    {"clear", Kind::terms, kMayBeLeftOut, kOne},
    {"preset", Kind::terms, kMayBeLeftOut, kOne},
    {"when", Kind::terms, kMayBeLeftOut, kSeveral, "q"},
};
constexpr KeyRule kLatch[] = {
    {"q", Kind::drivers, kNeeded},
    {"qn", Kind::drivers, kMayBeLeftOut, kSeveral, "q"},
    {"d", Kind::terms, kNeeded, kSeveral, "q"},
    {"open", Kind::terms, kNeeded, kSeveral, "q"},
    {"clear", Kind::terms, kMayBeLeftOut, kOne},
    {"when", Kind::terms, kMayBeLeftOut, kSeveral, "q"},
};
constexpr KeyRule kCounter[] = {
    {"q", Kind::drivers, kNeeded},
    {"carry", Kind::drivers, kMayBeLeftOut},
    {"d", Kind::terms, kMayBeLeftOut, kSeveral, "q"},
    {"clock", Kind::terms, kNeeded, kOne},
    {"enable", Kind::terms, kMayBeLeftOut, kOne},
    {"clear", Kind::terms, kMayBeLeftOut, kOne},
    {"load", Kind::terms, kMayBeLeftOut, kOne},
    {"when", Kind::terms, kMayBeLeftOut, kSeveral, "q"},
};
constexpr KeyRule kShift[] = {
    {"q", Kind::drivers, kNeeded},
    {"d", Kind::terms, kNeeded},
    {"clock", Kind::terms, kNeeded, kOne},
    {"enable", Kind::terms, kMayBeLeftOut, kOne},
    {"clear", Kind::terms, kMayBeLeftOut, kOne},
    {"load", Kind::terms, kMayBeLeftOut, kOne},
    {"when", Kind::terms, kMayBeLeftOut, kSeveral, "q"},
};
constexpr KeyRule kOneShot[] = {
    {"out", Kind::drivers, kNeeded},
    {"outn", Kind::drivers, kMayBeLeftOut, kSeveral, "out"},
    {"trigger", Kind::terms, kNeeded, kOne},
    {"clear", Kind::terms, kMayBeLeftOut, kOne},
    {"rest", Kind::choice, kMayBeLeftOut, kOne, {}, "low high"},
};
constexpr KeyRule kTimer[] = {
    {"out", Kind::drivers, kNeeded, kOne},
    {"trigger", Kind::pins, kNeeded, kOne},
    {"threshold", Kind::pins, kNeeded, kOne},
    {"discharge", Kind::drivers, kNeeded, kOne},
    {"clear", Kind::terms, kMayBeLeftOut, kOne},
};
constexpr KeyRule kOscillator[] = {
    {"out", Kind::drivers, kNeeded},
    {"when", Kind::terms, kMayBeLeftOut, kOne},
};
constexpr KeyRule kMemory[] = {
    {"kind", Kind::choice, kNeeded, kOne, {}, "sram rom dram"},
    {"address", Kind::pins, kNeeded},
    {"data", Kind::drivers, kMayBeLeftOut},
    {"in", Kind::pins, kMayBeLeftOut},
    {"out", Kind::drivers, kMayBeLeftOut},
    {"select", Kind::terms, kNeeded, kOne},
    {"read", Kind::terms, kNeeded, kOne},
    {"write", Kind::terms, kMayBeLeftOut, kOne},
    {"row", Kind::terms, kMayBeLeftOut, kOne},
    {"column", Kind::terms, kMayBeLeftOut, kOne},
};
constexpr KeyRule kProcessor[] = {
    {"clock", Kind::pins, kNeeded},
    {"reset", Kind::terms, kMayBeLeftOut, kOne},
    {"address", Kind::drivers, kNeeded},
    {"data", Kind::pins, kNeeded},
    {"running", Kind::terms, kMayBeLeftOut},
    {"start", Kind::number, kMayBeLeftOut},
    {"stack", Kind::number, kMayBeLeftOut},
};
constexpr KeyRule kMaster[] = {
    {"clock", Kind::pins, kNeeded},
    {"reset", Kind::terms, kMayBeLeftOut, kOne},
    {"address", Kind::drivers, kNeeded},
    {"data", Kind::pins, kMayBeLeftOut},
    {"running", Kind::terms, kMayBeLeftOut},
    {"idle", Kind::choice, kMayBeLeftOut, kOne, {}, "moving none"},
};
constexpr KeyRule kPeripheral[] = {
    {"data", Kind::pins, kMayBeLeftOut},
    {"address", Kind::pins, kMayBeLeftOut},
    {"select", Kind::terms, kMayBeLeftOut, kOne},
    {"read", Kind::terms, kMayBeLeftOut, kOne},
    {"write", Kind::terms, kMayBeLeftOut, kOne},
    {"ports", Kind::drivers, kMayBeLeftOut},
    {"outputs", Kind::drivers, kMayBeLeftOut},
    {"inputs", Kind::pins, kMayBeLeftOut},
    {"needs", Kind::pins, kMayBeLeftOut},
    {"irq", Kind::drivers, kMayBeLeftOut},
};
constexpr KeyRule kBox[] = {
    {"out", Kind::drivers, kNeeded},
    {"needs", Kind::pins, kMayBeLeftOut},
    {"when", Kind::terms, kMayBeLeftOut, kSeveral, "out"},
    {"rest", Kind::choice, kMayBeLeftOut, kOne, {}, "moving with-needs low high"},
    {"data", Kind::pins, kMayBeLeftOut},
    {"address", Kind::pins, kMayBeLeftOut},
};
constexpr KeyRule kRegulator[] = {
    {"in", Kind::pins, kNeeded, kOne},
    {"out", Kind::pins, kNeeded, kOne},
    {"ground", Kind::pins, kMayBeLeftOut, kOne},
    {"volts", Kind::number, kNeeded},
};
constexpr KeyRule kContact[] = {
    {"a", Kind::pins, kNeeded},
    {"b", Kind::pins, kNeeded},
    {"closed", Kind::truth},
    {"actuated", Kind::truth},
};
constexpr KeyRule kResistor[] = {
    {"a", Kind::pins, kNeeded},
    {"b", Kind::pins, kNeeded},
    {"ohms", Kind::number},
    {"share", Kind::number},
};
constexpr KeyRule kCapacitor[] = {
    {"a", Kind::pins, kNeeded},
    {"b", Kind::pins, kNeeded},
    {"farads", Kind::number},
};
constexpr KeyRule kInductor[] = {
    {"a", Kind::pins, kNeeded},
    {"b", Kind::pins, kNeeded},
    {"henries", Kind::number},
};
constexpr KeyRule kDiode[] = {
    {"anode", Kind::pins, kNeeded},
    {"cathode", Kind::pins, kNeeded},
    {"kind", Kind::choice, kMayBeLeftOut, kOne, {}, "signal rectifier schottky zener led"},
};
constexpr KeyRule kTransistor[] = {
    {"base", Kind::pins, kNeeded, kOne},
    {"collector", Kind::pins, kNeeded, kOne},
    {"emitter", Kind::pins, kNeeded, kOne},
    {"polarity", Kind::choice, kNeeded, kOne, {}, "npn pnp n-channel p-channel"},
};
constexpr KeyRule kCrystal[] = {
    {"a", Kind::pins, kNeeded, kOne},
    {"b", Kind::pins, kNeeded, kOne},
};

constexpr TemplateRule kRules[] = {
    {Template::gate, kGate},           {Template::reg, kRegister},         {Template::latch, kLatch},         {Template::counter, kCounter},
    {Template::shift, kShift},         {Template::one_shot, kOneShot},     {Template::timer, kTimer},         {Template::oscillator, kOscillator},
    {Template::memory, kMemory},       {Template::processor, kProcessor},  {Template::master, kMaster}   ,    {Template::peripheral, kPeripheral},
    {Template::box, kBox},             {Template::regulator, kRegulator},  {Template::contact, kContact},     {Template::resistor, kResistor},
    {Template::capacitor, kCapacitor}, {Template::inductor, kInductor},    {Template::diode, kDiode},         {Template::transistor, kTransistor},
    {Template::crystal, kCrystal},
};

}  // namespace

std::span<const TemplateRule> template_rules() { return kRules; }

const TemplateRule& rule_of(Template kind) {
  for (const TemplateRule& rule : kRules)
    if (rule.kind == kind) return rule;
  HS_REQUIRE(false, "every template has its rule");
}

}  // namespace halfsplit::parts
