// cli/request.h - what the command line asked for, as plain data; arguments.h makes it, run.h does it.
#pragma once
#include <cstdint>
#include <string>
#include <vector>

namespace halfsplit::cli {

enum class Verb {
  resume, boards, check, expect, import_files, sketch, board_export,
  job_open, job_list, job_show, job_use, job_note, job_case, job_find,
  symptom, state, read, swap, repair, undo, tools, answer, amend, want, leave, cannot, suspects, why, next, prove, report, close, bench,
  knowledge_list, knowledge_add, knowledge_export, knowledge_merge, knowledge_replay
};

struct Request {
  Verb verb = Verb::resume;
  std::vector<std::string> words;      ///< what stands behind the command, as typed
  // on every command
  bool json = false;
  std::string workshop, data;          ///< empty: found by themselves
  std::string color = "auto";
  // on some
  bool all = false;                    ///< suspects, next: everything instead of the first few
  std::string bom, out, id, title;     ///< import, board export, job open, knowledge export
  std::string licence;                 ///< knowledge export
  std::string html, markdown;          ///< report: files to write
  bool back = false;                   ///< state: the way back
  bool replace = false;
  std::vector<std::string> with;       ///< expect: changes of the board to try
  bool keep = false, yes = false;      ///< amend: into the machine's file; a yes given beforehand (amend, close, knowledge)
  bool steps = false, errata = false;  ///< repair: the checklist, the errata of the machine
  std::vector<std::string> done, undone;  ///< repair: steps to tick
  bool wording = false;                ///< job case: with the owner's words
  std::uint64_t seed = 0;
  std::string profile;                 ///< job open
  std::vector<std::string> tools;      ///< job open: instruments at hand
  std::vector<std::string> answers;    ///< job open: "question=answer"
  bool qualified = false;              ///< job open: trained for mains and tubes
  std::vector<std::string> cannot;     ///< next: what can't be reached or done
  std::string about;                   ///< symptom: the function meant
  std::string on;                      ///< read: "good", a good machine of this model
};

}  // namespace halfsplit::cli
