// store/inside.h - what a Workshop holds; for the files of this module.
#pragma once
#include "store/database.h"
#include "store/workshop.h"

namespace halfsplit::store {

struct Workshop::Inside {
  Database database;
  template <class Write>
  Status change(job::Job& job, Write write) const;
};

}  // namespace halfsplit::store
