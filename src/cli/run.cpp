#include "cli/run.h"

#include <filesystem>
#include <iostream>
#include <sstream>

#include "app/alike.h"
#include "app/amending.h"
#include "app/checklists.h"
#include "app/choosing.h"
#include "app/clock.h"
#include "app/closing.h"
#include "app/difference.h"
#include "app/entries.h"
#include "app/importing.h"
#include "app/jobs.h"
#include "app/machines.h"
#include "app/packs.h"
#include "app/proving.h"
#include "app/reporting.h"
#include "app/replay.h"
#include "app/sketching.h"
#include "app/tracing.h"
#include "app/verdicts.h"
#include "app/way_back.h"
#include "base/text.h"
#include "cli/arguments.h"
#include "cli/bench.h"
#include "cli/way_in.h"
#include "cli/words.h"
#include "report/trouble.h"

namespace halfsplit::cli {
namespace {

constexpr int kDone = 0, kNothing = 1;

class Command {
 public:
  Command(Request request, const Streams& streams, const app::Outside& outside, app::Places places)
      : request_(std::move(request)), streams_(streams), outside_(outside), style_(style_for(streams.of_out, request_.color)), desk_(std::move(places), app::now(outside)) {}

  Result<int> run() {
    switch (request_.verb) {
      case Verb::boards: return boards();
      case Verb::check: return check();
      case Verb::expect: return expect();
      case Verb::import_files: return told(app::import_machine(desk_.places(), {request_.words, request_.bom, request_.out, request_.id, request_.title, request_.replace}));
      case Verb::sketch: return request_.words.empty() ? tracing() : told(app::sketch(desk_, {request_.words, request_.out, request_.title, {}, request_.replace}));
      case Verb::board_export: return told(app::export_machine(desk_.places(), request_.words.front(), request_.out, request_.seed));
      case Verb::resume: return resume();
      case Verb::job_open: return told(app::open_job(desk_, {request_.words.front(), request_.title, request_.profile, request_.tools, request_.answers, request_.qualified}));
      case Verb::job_list: return told(app::list_jobs(desk_));
      case Verb::job_show: return told(app::show_job(desk_, request_.words.empty() ? std::string() : request_.words.front()));
      case Verb::job_use: return told(app::use_job(desk_, request_.words.front()));
      case Verb::job_find: return find();
      case Verb::job_note: return entered(job::LineKind::note);
      case Verb::symptom: return entered(job::LineKind::symptom);
      case Verb::state: return request_.back ? back() : request_.words.empty() ? told(app::show_state(desk_)) : entered(job::LineKind::state);
      case Verb::read: return entered(job::LineKind::read, request_.on.empty() ? std::string() : "--on " + request_.on + " ");
      case Verb::swap: return entered(job::LineKind::swap);
      case Verb::repair: return repair();
      case Verb::tools: return entered(job::LineKind::tools);
      case Verb::answer: return kept(app::answer(desk_, line()));
      case Verb::amend: return amend();
      case Verb::want: return settled(job::LineKind::want);
      case Verb::leave: return settled(job::LineKind::leave);
      case Verb::cannot: return settled(job::LineKind::cannot);
      case Verb::undo: return kept(app::undo(desk_));
      case Verb::suspects: return suspects();
      case Verb::why: return why();
      case Verb::next: return next();
      case Verb::prove: return prove();
      case Verb::report: return job_report();
      case Verb::job_case: return job_case();
      case Verb::close: return close();
      case Verb::knowledge_list: return told(app::list_knowledge(desk_));
      case Verb::knowledge_add: return told(app::add_cases(desk_, request_.words));
      case Verb::knowledge_export: return told(app::export_lessons(desk_, {request_.out, request_.id, request_.title, request_.licence, request_.all, request_.replace}));
      case Verb::knowledge_merge: return merge();
      case Verb::knowledge_replay: return replay();
      case Verb::bench: return prompt();
    }
    return kDone;
  }

 private:
  std::string line() const { return join(request_.words, " "); }

  /// Prints an answer; `options` are those of its print().
  template <class Answer, class... Options>
  void tell(const Answer& answer, const Options&... options) {
    std::ostringstream text;
    if (request_.json) text << report::json_of(answer).dump() << '\n';
    else report::print(text, answer, style_, options...);
    const bool plain = !request_.json && !speaks_utf8(streams_.of_out);
    streams_.out << (plain ? plain_characters(text.str()) : text.str());
  }
  template <class Answer>
  Result<int> told(Result<Answer> answer) {
    if (!answer) return answer.error();
    tell(*answer);
    return kDone;
  }
  Result<int> kept(Result<report::Entry> entry) {
    if (!entry) return entry.error();
    tell(*entry);
    return entry->nothing_kept ? kNothing : kDone;
  }
  Result<int> entered(job::LineKind kind, const std::string& before = {}) { return kept(app::enter(desk_, kind, before + line(), request_.about)); }

  Result<int> settled(job::LineKind kind) { return request_.words.empty() ? told(app::show_settled(desk_, kind)) : entered(kind); }
  /// The current job, or the three questions that begin one.
  Result<int> resume() {
    const auto current = desk_.current_job();
    if (!current) return current.error();
    const bool may_ask = !current.value() && !request_.json && streams_.in && (streams_.asks || streams_.in->peek() != std::istream::traits_type::eof());
    const auto now = may_ask ? app::resume(desk_) : Result<report::Resumed>(report::Resumed());
    if (!now) return now.error();
    const auto answers = may_ask ? ask_way_in(*streams_.in, streams_.out, desk_.places(), now->machines, streams_.asks, [&](const Error& error) { report::print(streams_.err, error, style_for(streams_.of_err, request_.color)); }) : std::nullopt;
    return answers ? begin(*answers) : told(app::resume(desk_));
  }
  Result<int> begin(const FirstAnswers& answers) {
    const auto begun = app::begin(desk_, answers.what, answers.tools);
    if (!begun) return begun.error();
    if (!answers.what.unknown.empty()) streams_.out << "Not in the part library, left out: " << join(answers.what.unknown, ", ") << '\n';
    if (!answers.symptoms.empty()) {
      auto heard = app::enter(desk_, job::LineKind::symptom, answers.symptoms);
      if (!heard) return heard.error();
      heard->next.reset();
      heard->slip = {};
      tell(*heard);
    }
    return told(app::resume(desk_));
  }
  Result<int> prompt() {
    if (!streams_.in) return usage("the prompt has nothing to read from", "type halfsplit bench in a terminal, or pipe lines into it");
    std::vector<std::string> before = {"--color", request_.color};
    if (!request_.workshop.empty()) before.insert(before.end(), {"--workshop", request_.workshop});
    if (!request_.data.empty()) before.insert(before.end(), {"--data", request_.data});
    if (request_.json) before.push_back("--json");
    return bench(before, streams_, outside_);
  }
  Result<int> tracing() {
    auto sitting = desk_.sit();
    if (!sitting) return sitting.error();
    return told(app::tracing_of(**sitting));
  }

  Result<int> boards() {
    const auto list = app::list_boards(desk_.places());
    if (!list) return list.error();
    tell(*list);
    return list->boards.empty() ? kNothing : kDone;
  }

  Result<int> check() {
    const auto answer = app::check_board(desk_.places(), request_.words.front());
    if (!answer) return answer.error();
    tell(*answer);
    return kDone;
  }

  Result<int> amend() {
    if (!request_.words.empty()) return kept(app::amend(desk_, line(), request_.keep, request_.yes));
    if (request_.keep) return usage("which change is to be kept?", "type it again with --keep: halfsplit amend drawing net U7.3 = A5 --keep");
    return told(app::list_amendments(desk_));
  }

  Result<int> told_difference(Result<report::Difference> answer) {
    if (!answer) return answer.error();
    tell(*answer, request_.all ? answer->rows.size() : std::size_t{12});
    return kDone;
  }

  /// The first word may name a machine; else all words are points of the current job's machine, with its bench as it is.
  Result<int> expect() {
    const std::vector<std::string>& words = request_.words;
    if (!words.empty()) {
      const auto folder = app::find_board(desk_.places(), words.front());
      if (folder && !request_.with.empty()) return told_difference(app::expect_with(desk_.places(), *folder, {}, request_.with, {words.begin() + 1, words.end()}));
      if (folder) {
        auto model = app::Model::open(desk_.places(), *folder);
        if (!model) return model.error();
        return told(app::expect(**model, {words.begin() + 1, words.end()}));
      }
      const auto current = desk_.current_job();
      if (!current) return current.error();
      if (!current.value()) return folder.error();
    }
    auto sitting = desk_.sit();
    if (!sitting) return sitting.error();
    if (!request_.with.empty()) return told_difference(app::expect_with(desk_.places(), (*sitting)->folder(), (*sitting)->amendments(), request_.with, words, (*sitting)->state()));
    return told(app::expect((*sitting)->model(), words, (*sitting)->state()));
  }

  Result<int> job_case() {
    const auto text = app::case_of_job(desk_, request_.words.empty() ? std::string() : request_.words.front(), request_.wording);
    if (!text) return text.error();
    tell(report::CaseText{*text});
    return kDone;
  }

  /// Without a yes an ending that teaches is shown, and nothing is written.
  Result<int> close() {
    const auto closing = app::close_job(desk_, line(), request_.yes);
    if (!closing) return closing.error();
    tell(*closing);
    if (closing->written) return kDone;
    return needs_confirmation("not written yet: this is what closing it would teach", "halfsplit close " + line() + " --yes");
  }

  Result<int> merge() {
    bool written = true;
    for (const std::string& file : request_.words) {
      const auto merged = app::merge_pack(desk_, file, request_.yes);
      if (!merged) return merged.error();
      tell(*merged);
      written = written && merged->written;
    }
    if (written) return kDone;
    return needs_confirmation("not merged: the culprit of a past job would leave the first three", "look at the table; --yes merges it all the same");
  }

  Result<int> replay() {
    const auto replay = app::replay(desk_, request_.yes);
    if (!replay) return replay.error();
    tell(*replay, request_.all ? replay->rows.size() : std::size_t{10});
    if (replay->accepted) return replay->rows.empty() ? kNothing : kDone;
    return needs_confirmation("the culprit of a past job has left the first three", "look at the table; --yes takes the ranks of now as good");
  }

  Result<int> repair() {
    if (request_.errata) return told(app::errata(desk_));
    if (request_.words.empty()) return usage("what was mended?", "halfsplit repair U14 replaced; --errata lists what is known of the machine");
    if (request_.steps || !request_.done.empty() || !request_.undone.empty()) return told(app::checklist(desk_, line(), {request_.done, request_.undone}));
    return entered(job::LineKind::repair);
  }

  Result<int> find() {
    const auto found = app::find_jobs(desk_, line());
    if (!found) return found.error();
    tell(*found);
    return found->lines.empty() ? kNothing : kDone;
  }

  Result<int> suspects() {
    auto sitting = desk_.sit();
    if (!sitting) return sitting.error();
    auto answer = app::suspects(**sitting);
    if (!answer) return answer.error();
    auto alike = app::jobs_alike(desk_, **sitting);
    if (!alike) return alike.error();
    answer->alike = std::move(alike).value();
    tell(*answer, request_.all ? report::SuspectsView{answer->suspects.size(), 0} : report::SuspectsView{});
    return answer->suspects.empty() ? kNothing : kDone;
  }

  Result<int> why() {
    auto sitting = desk_.sit();
    if (!sitting) return sitting.error();
    return told(app::why(**sitting, request_.words.empty() ? std::string() : request_.words.front()));
  }

  Result<int> back() {
    if (!request_.words.empty()) return usage("state --back takes no changes", "it lists the way back; type the change without --back");
    auto sitting = desk_.sit();
    if (!sitting) return sitting.error();
    tell(app::way_back(**sitting));
    return kDone;
  }

  Result<int> prove() {
    auto sitting = desk_.sit();
    if (!sitting) return sitting.error();
    tell(app::prove(**sitting));
    return kDone;
  }

  /// Files are written first, so that what is told of them is true.
  Result<int> job_report() {
    const auto answer = app::job_report(desk_);
    if (!answer) return answer.error();
    const report::Page page = report::page_of(*answer);
    std::ostringstream html, markdown;
    report::write_html(html, page);
    report::write_markdown(markdown, page);
    std::vector<std::string> written;
    const auto write = [&](const std::string& path, const std::string& text) -> Status {
      if (path.empty()) return Done{};
      if (const Status done = app::write_report(path, text, request_.replace); !done) return done.error();
      written.push_back(path);
      return Done{};
    };
    if (const Status done = write(request_.html, html.str()); !done) return done.error();
    if (const Status done = write(request_.markdown, markdown.str()); !done) return done.error();
    if (request_.json || written.empty()) tell(*answer);
    else streams_.out << "Written: " << join(written, ", ") << "\n";
    return kDone;
  }

  Result<int> next() {
    constexpr std::size_t kTests = 5;
    const auto answer = app::next_without(desk_, request_.cannot, kTests);
    if (!answer) return answer.error();
    tell(*answer, request_.all ? kTests : std::size_t{1});
    return answer->act == report::Next::Act::stop ? kNothing : kDone;
  }

  Request request_;
  const Streams& streams_;
  const app::Outside& outside_;
  report::Style style_;
  app::Desk desk_;
};

int fail(const Error& error, bool json, const std::string& color, const Streams& streams) {
  if (json) streams.err << report::json_of(error).dump() << '\n';
  else report::print(streams.err, error, style_for(streams.of_err, color));
  return exit_code(error.code);
}

}  // namespace

int run(const std::vector<std::string>& arguments, const Streams& streams, const app::Outside& outside) {
  auto read = read_arguments(arguments);
  if (!read) return fail(read.error(), wants_json(arguments), "auto", streams);
  if (const auto* told = std::get_if<Told>(&read.value())) {
    streams.out << told->text;
    return kDone;
  }
  const Request& request = std::get<Request>(read.value());
  auto places = app::find_places(request.data, request.workshop, outside);
  if (!places) return fail(places.error(), request.json, request.color, streams);
  const auto code = Command(request, streams, outside, std::move(places).value()).run();
  streams.out.flush();
  return code ? *code : fail(code.error(), request.json, request.color, streams);
}

int run(int count, char** arguments) {
  std::ios::sync_with_stdio(false);
  std::vector<std::string> words;
  for (int i = 1; i < count; ++i) words.emplace_back(arguments[i]);
  return run(words, {std::cout, std::cerr, surroundings_of(1), surroundings_of(2), &std::cin, surroundings_of(0).is_terminal}, app::outside());
}

}  // namespace halfsplit::cli
