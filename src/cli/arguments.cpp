// The option tree. One table-like function a command; examples stand in the footers, since that is where people look first.
#include "cli/arguments.h"

#include <CLI/CLI.hpp>

#include "base/text.h"
#include "cli/words.h"

#ifndef HALFSPLIT_VERSION
#define HALFSPLIT_VERSION "0"
#endif

namespace halfsplit::cli {
namespace {

constexpr char kAbout[] = "halfsplit - find the fault on a home computer's board: what to measure next, what it should read, what it means";
constexpr char kFooter[] =
    "A repair:\n"
    "  halfsplit job open osprill-primer     begin a job on a machine\n"
    "  halfsplit symptom no picture          say what doesn't work, and what does\n"
    "  halfsplit next                        where to put the probe\n"
    "  halfsplit read U5.8 4.31V             what it read there\n"
    "  halfsplit repair U5 replaced          what you did\n"
    "  halfsplit close proven U5 --yes       how it ended, and what it was\n"
    "Without a command: where the current job stands.\n"
    "Exit codes: 0 done, 1 nothing found, 2 typed wrongly, 3 bad file, 4 workshop file, 5 no such name, 6 needs a yes, 70 our bug.";

class Tree {
 public:
  Tree() : app_(kAbout, "halfsplit") {
    app_.fallthrough();
    app_.footer(kFooter);
    app_.set_version_flag("-V,--version", std::string("halfsplit ") + HALFSPLIT_VERSION, "Print the version");
    app_.add_flag("--json", request_.json, "Answer as JSON (docs/commands.md)");
    app_.add_option("--workshop", request_.workshop, "The workshop file with all jobs")->type_name("FILE");
    app_.add_option("--data", request_.data, "Folder that holds boards, knowledge and shared/parts")->type_name("DIR");
    app_.add_option("--color", request_.color, "Colour in the answer")->type_name("WHEN")->check(CLI::IsMember({"auto", "always", "never"}));
    machines();
    jobs();
    bench();
    verdicts();
    endings();
    knowledge();
  }

  Result<std::variant<Request, Told>> read(std::vector<std::string> arguments) {
    std::reverse(arguments.begin(), arguments.end());  // CLI11 takes them from the back
    try {
      app_.parse(std::move(arguments));
    } catch (const CLI::CallForHelp&) {
      return std::variant<Request, Told>(Told{app_.help()});
    } catch (const CLI::CallForVersion& version) {
      return std::variant<Request, Told>(Told{std::string(version.what()) + "\n"});
    } catch (const CLI::ParseError& error) {
      return trouble(error);
    }
    return std::variant<Request, Told>(request_);
  }

 private:
  CLI::App* command(CLI::App& over, const std::string& name, Verb verb, const std::string& what, const std::string& examples, const std::string& group) {
    CLI::App* made = over.add_subcommand(name, what);
    made->group(group);
    made->footer(examples);
    made->callback([this, made, verb] {
      if (made->get_subcommands().empty()) request_.verb = verb;
    });
    return made;
  }
  CLI::App* command(const std::string& name, Verb verb, const std::string& what, const std::string& examples, const std::string& group) {
    return command(app_, name, verb, what, examples, group);
  }
  CLI::Option* words(CLI::App* command, const std::string& name, const std::string& what) { return command->add_option(name, request_.words, what)->type_name(" "); }

  void machines() {
    const std::string group = "Machines";
    command("boards", Verb::boards, "List the machines at hand", "Example:\n  halfsplit boards", group);
    CLI::App* check = command("check", Verb::check, "What is doubtful in a machine's text",
                              "Examples:\n  halfsplit check osprill-primer\n  halfsplit check ./my-machine\nA drawing with doubts is still a drawing: exit code 3 only for files that can't be read.", group);
    words(check, "BOARD", "A machine of `halfsplit boards`, or its folder")->required()->expected(1);
    CLI::App* expect = command("expect", Verb::expect, "What a good machine shows at every pin",
                               "Examples:\n  halfsplit expect osprill-primer U4        every pin of U4\n  halfsplit expect osprill-primer U4.9 +5V  two points\n"
                               "  halfsplit expect osprill-primer           rails, functions, all chips\n  halfsplit expect U4                       of the current job's machine, as the bench is now",
                               group);
    words(expect, "BOARD_AND_POINTS", "A machine, then parts, pins or nets; without a machine: the current job's")->expected(-1);
    expect->add_option("--with", request_.with, "What would change: \"C8 missing\", \"U9 74hc157\", \"wire U3.4 U7.2\"; may be given several times")->type_name("CHANGE")->allow_extra_args(false);
    expect->add_flag("--all", request_.all, "All places that change");
    import_command(group);
    sketch_command(group);
  }

  void sketch_command(const std::string& group) {
    CLI::App* sketch = command("sketch", Verb::sketch, "A machine without a netlist, from the numbers on its chips; begins a job on it. Without chips: what is traced of the current one",
                               "Examples:\n  halfsplit sketch z80 2x2764 8x4164 74ls245 2x74ls157 7805\n  halfsplit sketch U1=z80 U7=2764 --title \"the old trainer\"\n"
                               "Without references the chips are U1, U2, ... in the order typed.\n  halfsplit sketch                          its buses, how sure each is, what to measure to settle it", group);
    words(sketch, "CHIPS", "NUMBER, COUNTxNUMBER or REFERENCE=NUMBER")->expected(-1);
    sketch->add_option("--out", request_.out, "Folder to write; without: among your own machines")->type_name("DIR");
    sketch->add_option("--title", request_.title, "Name for people")->type_name("TEXT");
    sketch->add_flag("--replace", request_.replace, "Overwrite a machine that is there");
  }

  void import_command(const std::string& group) {
    CLI::App* import = command("import", Verb::import_files, "Make a machine from a netlist and a parts list",
                               "Examples:\n  halfsplit import board.ipc --bom parts.csv --out my-machine\n  halfsplit import nets.csv --bom parts.csv --out my-machine --title \"My machine\"\n"
                               "Netlist: IPC-D-356A, or CSV with Net, Ref, Pin. Parts list: CSV with reference and value. Next: halfsplit check my-machine",
                               group);
    words(import, "FILES", "Netlist files")->required()->expected(-1);
    import->add_option("--bom", request_.bom, "Parts list (CSV)")->type_name("FILE");
    import->add_option("--out", request_.out, "Folder to write")->type_name("DIR")->required();
    import->add_option("--id", request_.id, "Short name; the folder's name without it")->type_name("WORD");
    import->add_option("--title", request_.title, "Name for people")->type_name("TEXT");
    import->add_flag("--replace", request_.replace, "Overwrite a machine that is there");
    CLI::App* board = app_.add_subcommand("board", "Work on a machine's files");
    board->group(group);
    board->require_subcommand(1);
    board->footer("Example:\n  halfsplit board export osprill-primer --out primer");
    CLI::App* write = command(*board, "export", Verb::board_export, "Write a machine as IPC-D-356A and a parts list",
                              "Examples:\n  halfsplit board export osprill-primer --out primer\n  halfsplit board export osprill-primer --out odd --seed 7   with the habits of real programs", "");
    words(write, "BOARD", "A machine of `halfsplit boards`, or its folder")->required()->expected(1);
    write->add_option("--out", request_.out, "Writes OUT.ipc and OUT.csv")->type_name("OUT")->required();
    write->add_option("--seed", request_.seed, "Which deviations from the letter of the format to write; 0 = none")->type_name("NUMBER");
  }

  void jobs() {
    CLI::App* job = command("job", Verb::job_show, "Jobs on the bench", "Examples:\n  halfsplit job open osprill-home-8 --tools meter,probe\n  halfsplit job list\n  halfsplit job use 3\n  halfsplit job note owner says it was dropped", "Jobs");
    job->require_subcommand(0, 1);
    CLI::App* open = command(*job, "open", Verb::job_open, "Begin a job; it becomes the current one",
                             "Examples:\n  halfsplit job open osprill-primer\n  halfsplit job open ./my-machine --profile recent-build --tools meter,scope", "");
    words(open, "BOARD", "A machine of `halfsplit boards`, or its folder")->required()->expected(1);
    open->add_option("--title", request_.title, "Whose it is, or what you call it")->type_name("TEXT");
    open->add_option("--profile", request_.profile, "aged (the usual), or recent-build for a kit or replica")->type_name("WORD");
    open->add_option("--tools", request_.tools, "Instruments at hand, with commas: meter, probe, scope, tester, programmer, spares")->delimiter(',')->type_name("LIST")->allow_extra_args(false);
    open->add_option("--answer", request_.answers, "Answer to an open question of the machine: link-JP1=open")->type_name("NAME=WORD")->allow_extra_args(false);
    open->add_flag("--qualified", request_.qualified, "You are trained for mains and picture tubes");
    command(*job, "list", Verb::job_list, "All jobs", "Example:\n  halfsplit job list", "");
    CLI::App* show = command(*job, "show", Verb::job_show, "Everything entered in a job", "Examples:\n  halfsplit job show\n  halfsplit job show 3", "");
    words(show, "JOB", "Number of the job; without: the current one")->expected(0, 1);
    CLI::App* use = command(*job, "use", Verb::job_use, "Make another job the current one", "Example:\n  halfsplit job use 3", "");
    words(use, "JOB", "Number of the job")->required()->expected(1);
    CLI::App* note = command(*job, "note", Verb::job_note, "Keep a remark with the job", "Example:\n  halfsplit job note serial 4711, yellowed case", "");
    words(note, "WORDS", "Anything")->required()->expected(-1);
    CLI::App* find = command(*job, "find", Verb::job_find, "Past jobs by what was said in them", "Examples:\n  halfsplit job find no picture\n  halfsplit job find U14", "");
    words(find, "WORDS", "All of them, or their beginnings, in one line of symptoms, remarks or closings")->required()->expected(-1);
    CLI::App* as_case = command(*job, "case", Verb::job_case, "A job as the text of a case, to keep or to hand on",
                                "Examples:\n  halfsplit job case 3 > picture.case        title, remarks and wordings left out\n  halfsplit job case --words > mine.case    with them", "");
    words(as_case, "JOB", "Number of the job; without: the current one")->expected(0, 1);
    as_case->add_flag("--words", request_.wording, "With title, remarks and the words of the owner");
  }

  void bench() {
    const std::string group = "At the bench";
    CLI::App* symptom = command("symptom", Verb::symptom, "Say what works and what doesn't, in your words",
                                "Examples:\n  halfsplit symptom no picture but sound\n  halfsplit symptom key A dead\n  halfsplit symptom picture works\nWhat works counts as much as what doesn't.", group);
    words(symptom, "WORDS", "What it does or doesn't do")->required()->expected(-1);
    symptom->add_option("--about", request_.about, "The function meant, where the words leave it open")->type_name("FUNCTION");
    CLI::App* state = command("state", Verb::state, "What is switched off, pulled, lifted, held",
                              "Examples:\n  halfsplit state power-off U4-out\n  halfsplit state U4-in power-on\n  halfsplit state U7.6-lifted\n  halfsplit state complete     everything back\n  halfsplit state              as it is now\n"
                              "  halfsplit state LS1-out: red to E5, black to E6     noted before it comes off\n  halfsplit state lid-off: 5 screws, the long one at the left rear\n  halfsplit state --back       the way back, last off first on", group);
    state->add_flag("--back", request_.back, "The way back in reverse order, with what was noted and the small parts to account for");
    words(state, "CHANGES", "Each word changes the state; the opposite word undoes it")->expected(-1);
    CLI::App* read = command("read", Verb::read, "Enter a reading: where, and what it was",
                             "Examples:\n  halfsplit read U5.8 4.31V\n  halfsplit read U7 L P P P H - P G     round the chip\n  halfsplit read R7 220R\n  halfsplit read J3.1-J4.2 beep\n"
                             "  halfsplit read U1.14 sweep U7 beep at 9     one tip held, the other drawn along a chip\n"
                             "  halfsplit read X1.2 pulsing\n  halfsplit read C12 bulging\n  halfsplit read U5.8 low sure          looked twice\n"
                             "  halfsplit read A0..A15 pulsing, A7 low\n  halfsplit read U39.11 weaker than U38.11   also same as, half of, twice\n"
                             "  halfsplit read U7 same                as it was read last\n  halfsplit read --on good U5.8 2.8V    on a good machine of this model: what to expect here from now on",
                             group);
    read->add_option("--on", request_.on, "good: read on a good machine of this model")->type_name("MACHINE")->check(CLI::IsMember({"good"}));
    words(read, "POINT_AND_VALUE", "As you would say it")->required()->expected(-1);
    CLI::App* swap = command("swap", Verb::swap, "Which part sits where, and what that changed",
                             "Examples:\n  halfsplit swap U4 U7                     two like parts change places\n  halfsplit swap U4 U7 moved               the fault went with the part\n"
                             "  halfsplit swap U4 spare known good       also: new, tested, untested\n  halfsplit swap U4 spare: unchanged       all as before; also changed, cured\n"
                             "  halfsplit swap cured                     what the swap before did\n  halfsplit swap U4 elsewhere works        tried in another machine; also fails\n"
                             "  halfsplit swap U4 back                   its own part again; swap back: all of them\n"
                             "Only like parts, only with the power off. Readings from then on are of the parts as they sit.",
                             group);
    words(swap, "PARTS_AND_OUTCOME", "Two like parts, or a part and spare, elsewhere, back")->required()->expected(-1);
    CLI::App* repair = command("repair", Verb::repair, "What you mended; readings start afresh from there",
                               "Examples:\n  halfsplit repair U14 replaced\n  halfsplit repair U5.8 resoldered\n  halfsplit repair J3 cleaned\n  halfsplit repair U14 replaced --steps      how it is done, before it is done\n"
                               "  halfsplit repair U14 replaced --done 1-3   ticks steps\n  halfsplit repair --errata                  what is known of this machine's revision",
                               group);
    words(repair, "PART_AND_ACTION", "replaced, resoldered, reseated, cleaned, rewired, adjusted, removed; or with --steps an erratum")->expected(-1);
    repair->add_flag("--steps", request_.steps, "The checklist; nothing is entered");
    repair->add_option("--done", request_.done, "Steps that are done: 3, 1-4, all")->delimiter(',')->type_name("STEPS")->allow_extra_args(false);
    repair->add_option("--undone", request_.undone, "Steps that are not done after all")->delimiter(',')->type_name("STEPS")->allow_extra_args(false);
    repair->add_flag("--errata", request_.errata, "Errata of this machine");
    more_lines(group);
    choices(group);
    command("bench", Verb::bench, "The prompt: each line a command without `halfsplit`", "Examples:\n  halfsplit bench\n  halfsplit bench < lines.txt\nThe same lines as in the shell; quit ends it. The exit code is that of the last line.", group);
    command("undo", Verb::undo, "Take back what was typed last", "Example:\n  halfsplit undo", group);
  }

  void choices(const std::string& group) {
    CLI::App* want = command("want", Verb::want, "A function that need not work, or must after all",
                             "Examples:\n  halfsplit want tape-out no     names what else hangs on the same pads, and what a loose end could short\n  halfsplit want tape-out yes\n  halfsplit want                 what is set aside", group);
    words(want, "FUNCTION_AND_WORD", "A function and yes or no")->expected(-1);
    CLI::App* leave = command("leave", Verb::leave, "A defect that stays, and why",
                              "Examples:\n  halfsplit leave C12 bulging, but holds\n  halfsplit leave J4 pad torn off, not needed\n  halfsplit leave                what stays\nIt goes into the report and the proof list, with what it can still do and what to watch.", group);
    words(leave, "PART_AND_REASON", "The part, then the reason")->expected(-1);
    CLI::App* cannot = command("cannot", Verb::cannot, "What can't be reached or done at this bench",
                               "Examples:\n  halfsplit cannot U5.8: under the shield\n  halfsplit cannot unsoldering\n  halfsplit cannot               what is out of reach\nThe next step goes another way; undo takes it back.", group);
    words(cannot, "WHAT", "A place, a kind of look, an act; or why the step just proposed can't be had")->expected(-1);
  }

  void more_lines(const std::string& group) {
    CLI::App* tools = command("tools", Verb::tools, "Which instruments are at hand", "Examples:\n  halfsplit tools meter probe scope\n  halfsplit tools no-probe          the usual ones without it\nKnown: meter, probe, scope, tester, programmer, spares. Without a word said: meter and probe.", group);
    words(tools, "LIST", "All of them")->required()->expected(-1);
    CLI::App* answer = command("answer", Verb::answer, "Answer an open question of the machine", "Example:\n  halfsplit answer link-jp1 open", group);
    words(answer, "QUESTION_AND_WORD", "As `halfsplit` alone lists them")->required()->expected(-1);
    CLI::App* amend = command("amend", Verb::amend, "Where this machine differs from its drawing",
                              "Examples:\n  halfsplit amend missing U8\n  halfsplit amend found wire U3.4 U7.2      an earlier owner's wire\n  halfsplit amend ours add R90 470R Q3.e U9.2\n  halfsplit amend cut U3.4 U7.2\n  halfsplit amend value R12 1k\n"
                              "  halfsplit amend U9 74hct245\n  halfsplit amend drawing net U7.3 = A5 --keep   the drawing was wrong, for every later job\n  halfsplit amend                           what is in force\n"
                              "found (the usual), ours or drawing in front says whose the difference is. To try it first: halfsplit expect --with \"C8 missing\"", group);
    words(amend, "CHANGE", "jumper, missing, net, join, wire, cut, lift, add, value, fit")->expected(-1);
    amend->add_flag("--keep", request_.keep, "Write it into the machine's file too");
    amend->add_flag("--yes", request_.yes, "Keep also what is no error of the drawing");
  }

  void verdicts() {
    const std::string group = "Answers";
    CLI::App* suspects = command("suspects", Verb::suspects, "What is probably wrong, best first", "Examples:\n  halfsplit suspects\n  halfsplit suspects --all --json", group);
    suspects->add_flag("--all", request_.all, "All of them");
    CLI::App* why = command("why", Verb::why, "Which readings speak for a part, and which against", "Examples:\n  halfsplit why U14\n  halfsplit why             the foremost suspect", group);
    words(why, "PART", "A suspect; without: the foremost")->expected(0, 1);
    CLI::App* next = command("next", Verb::next, "What to measure or change now, and what each outcome means", "Examples:\n  halfsplit next\n  halfsplit next --all      the others at length too\n  halfsplit next --cannot U5.8 --cannot unsoldering   the next best, remembered for this job\n  halfsplit next --cannot \"pin under the shield\"    of the step just proposed", group);
    next->add_flag("--all", request_.all, "All proposals at length");
    next->add_option("--cannot", request_.cannot, "What can't be reached or done: a place, ohms, scope, unsoldering, or why the step just proposed can't be had; may be given several times")->type_name("WHAT")->allow_extra_args(false);
  }

  void endings() {
    command("prove", Verb::prove, "What is proven, by what, and what is still owed before it goes back",
            "Examples:\n  halfsplit prove\n  halfsplit prove --json\nEvery function, and whatever was unplugged, pulled, lifted, soldered or mended. Say what works: halfsplit symptom picture works", "Jobs");
    CLI::App* report = command("report", Verb::report, "The job from complaint to hand-back, for the owner and for the file",
                               "Examples:\n  halfsplit report                         as Markdown, here\n  halfsplit report --html job.html         one page that needs nothing else, for printing\n"
                               "  halfsplit report --markdown job.markdown\n  halfsplit report --json", "Jobs");
    report->add_option("--html", request_.html, "Write one self-contained HTML page with drawings")->type_name("FILE");
    report->add_option("--markdown", request_.markdown, "Write Markdown")->type_name("FILE");
    report->add_flag("--replace", request_.replace, "Overwrite a file that is no report of ours");
    CLI::App* close = command("close", Verb::close, "End the job and say how it ended",
                              "Examples:\n  halfsplit close proven U14                 mended, and the cause shown; tells what that would teach\n  halfsplit close proven U14 --yes           the same, and writes it\n"
                              "  halfsplit close working-unproven --yes     it runs, the cause is not shown\n  halfsplit close waiting for a new 4116\nAlso: partly, unrepaired, parts (kept for parts), came-back\n"
                              "proven, working-unproven and partly change the failure rates: they are shown first and written with --yes.", "Jobs");
    close->add_flag("--yes", request_.yes, "Write what the ending teaches");
    words(close, "HOW", "proven, working-unproven, partly, waiting, unrepaired, parts, came-back; more words are kept as a note")->required()->expected(-1);
  }

  void knowledge() {
    CLI::App* top = command("knowledge", Verb::knowledge_list, "What repairs have taught, and what others know",
                            "Examples:\n  halfsplit knowledge list\n  halfsplit knowledge export --licence CC0-1.0 --out ours.toml\n  halfsplit knowledge merge theirs.toml\n  halfsplit knowledge replay", "Knowledge");
    top->require_subcommand(0, 1);
    command(*top, "list", Verb::knowledge_list, "Packs, lessons, learned rates, conflicts", "Example:\n  halfsplit knowledge list --json", "");
    CLI::App* add = command(*top, "add", Verb::knowledge_add, "Learn from repairs told as cases", "Examples:\n  halfsplit knowledge add old-repairs/*.case\nAll of the files or none; a case that is known already counts once. Format: docs/case-format.md", "");
    words(add, "FILES", "Cases that end with a close line")->required()->expected(-1);
    CLI::App* write = command(*top, "export", Verb::knowledge_export, "Write the lessons of this workshop for others",
                              "Examples:\n  halfsplit knowledge export --licence CC0-1.0 --out ours.toml\n  halfsplit knowledge export --licence CC-BY-4.0 --id club --title \"Repairs of the club\"   to the screen\n"
                              "Titles, remarks, names and the owners' words are left out.", "");
    write->add_option("--licence", request_.licence, "Terms for others: CC0-1.0, CC-BY-4.0...")->type_name("TEXT")->required();
    write->add_option("--out", request_.out, "File to write; without: to the screen")->type_name("FILE");
    write->add_option("--id", request_.id, "Short name of the pack")->type_name("WORD");
    write->add_option("--title", request_.title, "Name for people")->type_name("TEXT");
    write->add_flag("--all", request_.all, "Also what was merged from others");
    write->add_flag("--replace", request_.replace, "Overwrite a file that is there");
    CLI::App* merge = command(*top, "merge", Verb::knowledge_merge, "Take in lessons of others",
                              "Examples:\n  halfsplit knowledge merge theirs.toml\nMerging twice, or by two routes, counts once. Past jobs are ranked again first: a pack that pushes a culprit out of the first three is only merged with --yes.", "");
    words(merge, "FILES", "Packs of lessons")->required()->expected(-1);
    merge->add_flag("--yes", request_.yes, "Merge also what ranks past jobs worse");
    CLI::App* replay = command(*top, "replay", Verb::knowledge_replay, "Rank all past jobs again, by the packs alone and by what is known now",
                               "Examples:\n  halfsplit knowledge replay\n  halfsplit knowledge replay --data ./changed     try changed machines, parts or packs\n  halfsplit knowledge replay --yes                take the ranks of now as good\n"
                               "No job's own lesson counts for it. Exit code 6 when a culprit has left the first three since the last replay.", "");
    replay->add_flag("--all", request_.all, "All rows, also those that stand as before");
    replay->add_flag("--yes", request_.yes, "Accept that a culprit left the first three");
  }

  /// The words of CLI11 where they say it well, our own where they don't.
  Error trouble(const CLI::ParseError& error) const {
    const CLI::App* at = &app_;
    while (!at->get_subcommands().empty()) at = at->get_subcommands().front();
    const std::string name = at == &app_ ? "halfsplit" : full_name(at);
    const std::string hint = name + " --help shows how";
    if (dynamic_cast<const CLI::ExtrasError*>(&error)) return usage(name + " doesn't take " + join(app_.remaining(true), " "), hint);
    if (dynamic_cast<const CLI::RequiredError*>(&error) && at != &app_) return usage(name + ": something is missing: " + std::string(error.what()), hint);
    return usage(error.what(), hint);
  }
  static std::string full_name(const CLI::App* command) {
    std::string out = command->get_name();
    for (const CLI::App* over = command->get_parent(); over; over = over->get_parent()) out = over->get_name() + " " + out;
    return out;
  }

  Request request_;
  CLI::App app_;
};

}  // namespace

Result<std::variant<Request, Told>> read_arguments(const std::vector<std::string>& arguments) {
  auto sorted = sorted_arguments(arguments);
  if (!sorted) return sorted.error();
  Tree tree;
  return tree.read(std::move(sorted).value());
}

}  // namespace halfsplit::cli
