#include "parts/library.h"

namespace halfsplit::parts {

const char* name_of(Effect effect) noexcept {
  switch (effect) {
    case Effect::stuck_low: return "stuck-low";
    case Effect::stuck_high: return "stuck-high";
    case Effect::no_drive: return "no-drive";
    case Effect::drives_wrong: return "drives-wrong";
    case Effect::ignores_input: return "ignores-input";
    case Effect::drags: return "drags";
    case Effect::dead: return "dead";
    case Effect::always_drives: return "always-drives";
    case Effect::never_enabled: return "never-enabled";
    case Effect::cell_stuck: return "cell-stuck";
    case Effect::cell_dead: return "cell-dead";
    case Effect::content_wrong: return "content-wrong";
    case Effect::open: return "open";
    case Effect::shorted: return "shorted";
    case Effect::resistive: return "resistive";
    case Effect::drifted: return "drifted";
    case Effect::weak: return "weak";
    case Effect::intermittent: return "intermittent";
    case Effect::unlisted: return "unlisted";
    case Effect::none: break;
  }
  return "none";
}

const char* name_of(ModeAt at) noexcept {
  switch (at) {
    case ModeAt::part: return "part";
    case ModeAt::each_output: return "each-output";
    case ModeAt::each_input: return "each-input";
    case ModeAt::each_data: return "each-data";
    case ModeAt::each_address: return "each-address";
    case ModeAt::each_element: return "each-element";
    case ModeAt::each_supply: break;
  }
  return "each-supply";
}

}  // namespace halfsplit::parts
