// app/chip_picture.h - readings round a chip as a drawing of its package.
//
// Start at: chip_pictures().
#pragma once
#include <vector>

#include "board/machine.h"
#include "observe/observation.h"
#include "report/entry.h"

namespace halfsplit::app {

/// A picture of every part of which three legs or more were read; `meanings` stand beside `seen` one by one and are marked as pictured.
std::vector<report::PackagePicture> chip_pictures(const std::vector<const observe::Observation*>& seen, std::vector<report::MeaningLine>& meanings, const board::Machine& machine);

}  // namespace halfsplit::app
