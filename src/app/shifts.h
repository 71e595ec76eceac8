// app/shifts.h - what a line at the bench did to the suspects: who lost most, who is foremost now.
#pragma once
#include "fault/ranking.h"
#include "report/entry.h"

namespace halfsplit::app {

/// By the names of the sites, so that the machine may have changed in between.
void add_shifts(report::Entry& entry, const fault::Ranking& before, const fault::Ranking& after);

}  // namespace halfsplit::app
