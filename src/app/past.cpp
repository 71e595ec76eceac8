#include "app/past.h"

#include "job/case.h"

namespace halfsplit::app {
namespace {

bool makes_machine(job::LineKind kind) { return kind == job::LineKind::answer || kind == job::LineKind::amend; }

}  // namespace

Result<job::Job> past_job(Desk& desk, const std::string& text, const std::string& file, ModelShelf& shelf) {
  const auto told = job::read_case(text, file);
  if (!told) return told.error();
  job::Job job;
  job.title = told->title;
  job.machine = told->machine;
  job.revision = told->revision;
  auto sitting = Sitting::of(desk.places(), job, shelf);
  if (!sitting) return sitting.error();
  for (std::size_t i = 0; i < told->steps.size(); ++i) {
    const job::Line* line = told->steps[i].line();
    if (!line || job::expected_error(*told, i)) continue;
    const job::Symptom symptom = line->kind == job::LineKind::symptom ? job::symptom_in(*line) : job::Symptom{"", line->typed};
    const auto understood = (*sitting)->understand(line->kind, symptom.words, {}, symptom.about);
    if (!understood) return bad_input(understood.error().message, told->steps[i].place, understood.error().hint);
    if (const Status kept = (*sitting)->keep(*understood, nullptr); !kept) return bad_input(kept.error().message, told->steps[i].place, kept.error().hint);
    if (!makes_machine(line->kind)) continue;
    sitting = Sitting::of(desk.places(), job::Job((*sitting)->job()), shelf);
    if (!sitting) return sitting.error();
  }
  return (*sitting)->job();
}

}  // namespace halfsplit::app
