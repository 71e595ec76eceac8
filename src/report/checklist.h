// report/checklist.h - how a repair is done, step by step, with what is ticked; and the errata of a machine.
#pragma once
#include <iosfwd>
#include <string>
#include <vector>

#include "base/json.h"
#include "report/style.h"

namespace halfsplit::report {

struct StepLine { std::string text; bool done = false; };
struct Checklist {
  std::string list;                    ///< "U14 replaced", or the id of an erratum
  std::string procedure, title;
  std::vector<std::string> parts, cautions;
  std::vector<StepLine> steps;
  std::vector<std::string> recheck;
  std::vector<std::string> changes;    ///< of an erratum: what to type when it is done
};
void print(std::ostream& out, const Checklist& checklist, const Style& style);
Json json_of(const Checklist& checklist);

struct ErratumLine { std::string id, title; std::size_t done = 0, steps = 0; bool told = false; };
struct Errata {
  std::string machine, revision;
  std::vector<ErratumLine> errata;     ///< `told`: a symptom of it was told in this job
};
void print(std::ostream& out, const Errata& errata, const Style& style);
Json json_of(const Errata& errata);

}  // namespace halfsplit::report
