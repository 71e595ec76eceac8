#include "app/teaching.h"

#include <fmt/core.h>

#include <algorithm>
#include <map>

#include "app/cases.h"
#include "app/learned.h"
#include "base/text.h"
#include "knowledge/blame.h"

namespace halfsplit::app {
namespace {

using job::LineKind;
using job::Outcome;
using knowledge::Blame;
using knowledge::Lesson;
using knowledge::Strand;
using knowledge::Suspected;
using observe::Observation;
using observe::Repair;

constexpr std::size_t kMostCures = 8, kMostSeen = 64;

/// Repairs with no trial between them.
struct Cure {
  std::vector<Repair> repairs;
  std::size_t cut = 0;     ///< lines before the first of them
  bool shown = false;      ///< a function that was not right worked afterwards
};

std::vector<Cure> cures_of(const Sitting& sitting) {
  std::vector<Cure> out;
  std::map<board::FunctionId, bool> right;
  bool trying = true;
  const auto& events = sitting.history().events();
  for (std::size_t i = 0; i < events.size(); ++i) {
    if (const auto* repair = std::get_if<Repair>(&events[i])) {
      if (trying) out.push_back({{}, sitting.line_number(i) - 1, false});
      trying = false;
      out.back().repairs.push_back(*repair);
    }
    const auto* seen = std::get_if<Observation>(&events[i]);
    if (!seen || seen->kind != observe::Kind::function || seen->point.at != observe::Point::At::function) continue;
    trying = true;
    const bool works = seen->value.word == observe::Word::right;
    const auto before = right.find(seen->point.function);
    if (works && !out.empty() && before != right.end() && !before->second) out.back().shown = true;
    right[seen->point.function] = works;
  }
  return out;
}

/// Was this fault's place touched by the repair?
bool touches(const Repair& repair, const fault::Fault& fault) {
  if (fault.site.part != repair.part) return false;
  const bool joint = fault.site.kind == fault::Site::Kind::joint || fault.site.kind == fault::Site::Kind::track;
  if (repair.pin.known()) return joint && fault.site.pin == repair.pin;
  const bool only_joints = repair.act == Repair::Act::resoldered || repair.act == Repair::Act::reseated;
  return !only_joints || joint;
}

/// What came into question in one sitting, by place and strand, and which of it was touched.
class Question {
 public:
  explicit Question(Sitting& sitting) : catalogue_(sitting.model().catalogue()), machine_(sitting.machine()) {}

  /// `touched`: of a fault.
  template <class Touched>
  std::vector<Suspected> suspected(const fault::Ranking& ranking, Touched touched) const {
    std::vector<Suspected> out;
    for (const fault::Suspect& suspect : ranking.suspects) {
      std::map<std::pair<Strand, bool>, Suspected> here;
      for (const fault::ModeShare& share : suspect.modes) {
        const fault::Fault* fault = fault_of(suspect.site, share.mode, share.at);
        if (!fault) continue;
        const Strand strand = knowledge::strand_of(*fault, machine_);
        if (strand.rate_class.empty()) continue;
        Suspected& one = here[{strand, touched(*fault)}];
        one.p += share.p;
        const auto known = std::find_if(one.modes.begin(), one.modes.end(), [&](const auto& mode) { return mode.first == share.mode; });
        if (known == one.modes.end()) one.modes.emplace_back(share.mode, share.p);
        else known->second += share.p;
      }
      for (auto& [key, one] : here) {
        one.strand = key.first;
        one.touched = key.second;
        for (auto& mode : one.modes) mode.second /= one.p;
        out.push_back(std::move(one));
      }
    }
    out.push_back({outside(), ranking.outside, false, {}});
    return out;
  }

  Strand outside() const { return {knowledge::kOutsideClass, "", "", machine_.id(), ""}; }
  Strand strand_of_part(board::PartId part, bool joint) const {
    const auto site = catalogue_.site_of_part(part);
    if (site)
      for (const fault::FaultId id : catalogue_.faults_at(*site)) {
        const fault::Fault& fault = catalogue_.fault(id);
        const auto kind = fault.site.kind;
        if (joint ? kind == fault::Site::Kind::joint : kind == fault::Site::Kind::part || kind == fault::Site::Kind::contact) return knowledge::strand_of(fault, machine_);
      }
    return joint ? strand_of_part(part, false) : outside();
  }

 private:
  const fault::Fault* fault_of(fault::SiteId site, const std::string& mode, const std::string& at) const {
    const fault::Fault* any = nullptr;
    for (const fault::FaultId id : catalogue_.faults_at(site)) {
      const fault::Fault& fault = catalogue_.fault(id);
      if (fault.mode != mode) continue;
      if ((fault.pin.known() ? machine_.long_name_of(fault.pin) : std::string()) == at) return &fault;
      any = &fault;
    }
    return any;
  }
  const fault::Catalogue& catalogue_;
  const board::Machine& machine_;
};

/// Places that were touched and that no reading brought into question.
void add_unsuspected(std::vector<Suspected>& suspected, const std::vector<Repair>& repairs, const Question& question) {
  for (const Repair& repair : repairs) {
    const bool joint = repair.pin.known() || repair.act == Repair::Act::resoldered || repair.act == Repair::Act::reseated;
    const Strand strand = question.strand_of_part(repair.part, joint);
    const bool there = std::any_of(suspected.begin(), suspected.end(), [&](const Suspected& one) { return one.touched && one.strand.position == strand.position; });
    if (!there) suspected.push_back({strand, 0, true, {}});
  }
}

/// A culprit as it was named, found on the machine or kept as words.
struct Named {
  job::Culprit culprit;
  std::optional<board::PartId> part;
  board::PinId pin;
};

class Teacher {
 public:
  Teacher(Desk& desk, const job::Job& job, const job::Ending& ending, std::string id) : desk_(desk), job_(job), ending_(ending), id_(std::move(id)), shelf_(desk.places()) {}

  Result<std::optional<Lessons>> teach() {
    auto now = desk_.look_back(job_, job_.lines.size(), shelf_);
    if (!now) return now.error();
    now_ = std::move(now).value();
    find_named();
    const std::vector<Cure> cures = cures_that_count();
    out_.cut = cures.empty() ? job_.lines.size() : cures.back().cut;
    if (!cures.empty()) out_.cure = text_of(cures.back());
    if (ending_.outcome == Outcome::proven && !named_.empty()) {
      if (const Status shown = blame_named(); !shown) return shown.error();
    } else if (const Status shared = blame_cures(cures); !shared) {
      return shared.error();
    }
    blames_ = knowledge::summed(std::move(blames_));
    if (blames_.empty()) return std::optional<Lessons>();
    if (const Status made = make_lesson(); !made) return made.error();
    return std::optional(std::move(out_));
  }

 private:
  void find_named() {
    for (const job::Culprit& culprit : ending_.culprits) {
      Named one{culprit, {}, {}};
      const board::Machine& machine = now_->machine();
      if (const auto part = machine.find_part(culprit.place)) one.part = *part;
      else if (const auto pin = machine.find_pin(culprit.place)) {
        one.pin = *pin;
        one.part = machine.pin(*pin).part;
      } else if (culprit.place != knowledge::kOutsideClass) {
        out_.remarks.push_back(fmt::format("{} is no part of this machine: kept as words, as something the drawing doesn't hold.", culprit.place));
      }
      named_.push_back(std::move(one));
    }
  }

  std::vector<Cure> cures_that_count() const {
    std::vector<Cure> all = cures_of(*now_);
    const bool works = ending_.outcome == Outcome::proven || ending_.outcome == Outcome::working_unproven;
    if (works && !all.empty()) all.back().shown = true;
    std::erase_if(all, [](const Cure& cure) { return !cure.shown; });
    if (all.size() > kMostCures) all.erase(all.begin(), all.end() - kMostCures);
    return all;
  }
  std::string text_of(const Cure& cure) const {
    std::vector<std::string> out;
    for (const Repair& repair : cure.repairs) out.push_back(fmt::format("{} {}", repair.pin.known() ? now_->machine().name_of(repair.pin) : now_->machine().part(repair.part).ref, observe::name_of(repair.act)));
    return join(out, ", ");
  }

  /// Ranking by what was known then, without what this job itself taught.
  Result<std::pair<Sitting*, fault::Ranking>> ranking_at(std::size_t cut) {
    auto& sitting = sittings_[cut];
    if (!sitting) {
      auto back = desk_.look_back(job_, cut, shelf_);
      if (!back) return back.error();
      const auto shop = desk_.workshop();
      if (!shop) return shop.error();
      auto learned = beliefs_for(**shop, **back);
      if (!learned) return learned.error();
      sitting = std::move(back).value();
      sitting->learn_from(std::move(learned).value());
    }
    auto ranking = sitting->ranking();
    if (!ranking) return ranking.error();
    return std::pair(sitting.get(), std::move(ranking).value());
  }

  bool is_named(const Named& named, const fault::Fault& fault) const {
    if (!named.part || fault.site.part != *named.part) return false;
    if (named.pin.known() && fault.site.kind == fault::Site::Kind::joint && fault.site.pin != named.pin) return false;
    return named.culprit.mode.empty() || fault.mode == named.culprit.mode;
  }

  /// Words for what the machine or the library doesn't know.
  void blame_words(const Named& named, const Question& question) {
    const bool known = named.part.has_value();
    const std::string words = known ? named.culprit.mode : trim(named.culprit.place + " " + named.culprit.mode) == knowledge::kOutsideClass ? "" : std::string(trim(named.culprit.place + " " + named.culprit.mode));
    if (known) out_.remarks.push_back(fmt::format("{} is no failure mode of {}: kept as words.", named.culprit.mode, named.culprit.place));
    blames_.push_back({known ? question.strand_of_part(*named.part, false) : question.outside(), words, knowledge::kOne});
  }

  Status blame_named() {
    const auto at = ranking_at(out_.cut);
    if (!at) return at.error();
    const Question question(*at->first);
    for (const Named& named : named_) {
      const auto& catalogue = at->first->model().catalogue();
      const bool listed = named.part && std::any_of(catalogue.faults().begin(), catalogue.faults().end(), [&](const fault::Fault& fault) { return is_named(named, fault); });
      if (!listed && !(named.part && named.culprit.mode.empty())) {
        blame_words(named, question);
        continue;
      }
      auto suspected = question.suspected(at->second, [&](const fault::Fault& fault) { return is_named(named, fault); });
      if (std::none_of(suspected.begin(), suspected.end(), [](const Suspected& one) { return one.touched && one.p > 0; })) {
        const bool joint = named.culprit.mode == fault::kJointOpen || named.pin.known();
        suspected.push_back({question.strand_of_part(*named.part, joint), 0, true, {}});
        if (!named.culprit.mode.empty()) suspected.back().modes.emplace_back(named.culprit.mode, 1);
      }
      for (Blame& blame : knowledge::blames_for(suspected, 0)) blames_.push_back(std::move(blame));
    }
    return Done{};
  }

  /// An unproven cause teaches its posterior, shared among what was touched (or named).
  Status blame_cures(std::vector<Cure> cures) {
    const bool works = ending_.outcome != Outcome::partly;
    if (cures.empty() && works) cures.push_back({{}, job_.lines.size(), true});
    for (std::size_t i = 0; i < cures.size(); ++i) {
      const Cure& cure = cures[i];
      const auto at = ranking_at(cure.cut);
      if (!at) return at.error();
      const Question question(*at->first);
      const bool by_name = i + 1 == cures.size() && !named_.empty();
      auto suspected = question.suspected(at->second, [&](const fault::Fault& fault) {
        if (by_name) return std::any_of(named_.begin(), named_.end(), [&](const Named& named) { return is_named(named, fault); });
        return std::any_of(cure.repairs.begin(), cure.repairs.end(), [&](const Repair& repair) { return touches(repair, fault); });
      });
      if (!by_name) add_unsuspected(suspected, cure.repairs, question);
      const double by_itself = ending_.outcome == Outcome::proven ? 0 : now_->model().knowledge().entries().learning.by_itself;
      for (Blame& blame : knowledge::blames_for(suspected, by_itself)) blames_.push_back(std::move(blame));
    }
    return Done{};
  }

  std::vector<std::string> symptoms_told() const {
    std::vector<std::string> out;
    for (const job::Line& line : job_.lines) {
      if (line.kind == LineKind::repair) break;
      if (line.kind != LineKind::symptom) continue;
      for (const auto& heard : knowledge::match_symptoms(now_->model().knowledge(), job::symptom_in(line).words, now_->machine()))
        if (!heard.symptom.empty() && out.size() < kMostSeen && std::find(out.begin(), out.end(), heard.symptom) == out.end()) out.push_back(heard.symptom);
    }
    return out;
  }

  Status make_lesson() {
    const auto shop = desk_.workshop();
    if (!shop) return shop.error();
    const auto id = id_.empty() ? (*shop)->lesson_id(job_) : Result<std::string>(id_);
    if (!id) return id.error();
    const auto who = (*shop)->pseudonym();
    if (!who) return who.error();
    const auto held = (*shop)->held(*id);
    if (!held) return held.error();
    auto population = knowledge::population_of(now_->model().knowledge(), now_->model().catalogue(), now_->machine(), job::name_of(now_->options().profile));
    if (!population) return population.error();
    Lesson& lesson = out_.teaching.lesson;
    lesson.id = *id;
    if (id_.empty()) lesson.source = *who;  // a case of others is the same lesson wherever it is added
    lesson.version = id_.empty() ? std::max(held->version, job_.version) + 1 : 1;
    lesson.machine = now_->machine().id();
    lesson.revision = now_->machine().revision();
    lesson.profile = population->profile;
    lesson.population = population->id;
    lesson.ending = job::name_of(ending_.outcome);
    lesson.blames = std::move(blames_);
    lesson.seen = symptoms_told();
    lesson.repair = case_text(*now_, Wording::left_out) + fmt::format("close {}\n", job::write_ending({ending_.outcome, ending_.culprits, "", ""}));
    out_.teaching.population = std::move(population).value();
    return Done{};
  }

  Desk& desk_;
  const job::Job& job_;
  const job::Ending& ending_;
  const std::string id_;
  ModelShelf shelf_;
  std::unique_ptr<Sitting> now_;
  std::map<std::size_t, std::unique_ptr<Sitting>> sittings_;
  std::vector<Named> named_;
  std::vector<Blame> blames_;
  Lessons out_;
};

/// The machine came back: what its closing taught no longer counts.
Result<std::optional<Lessons>> taken_back(Desk& desk, const job::Job& job) {
  const auto shop = desk.workshop();
  if (!shop) return shop.error();
  auto lesson = (*shop)->lesson_of(job);
  if (!lesson) return lesson.error();
  if (!*lesson || (*lesson)->withdrawn) return std::optional<Lessons>();
  const auto learned = (*shop)->learned();
  if (!learned) return learned.error();
  const auto population = learned->populations.find((*lesson)->population);
  if (population == learned->populations.end()) return std::optional<Lessons>();
  Lessons out;
  out.teaching.lesson = std::move(**lesson);
  out.teaching.lesson.version = std::max(out.teaching.lesson.version, job.version) + 1;
  out.teaching.lesson.withdrawn = true;
  out.teaching.lesson.blames.clear();
  out.teaching.population = population->second;
  out.remarks.push_back("What its closing taught no longer counts; the next closing teaches anew.");
  out.cut = job.lines.size();
  return std::optional(std::move(out));
}

}  // namespace

Result<std::optional<Lessons>> teaching_of(Desk& desk, const job::Job& job, const job::Line& line, const std::string& id) {
  const auto ending = job::parse_ending(line.typed);
  if (!ending) return ending.error();
  switch (ending->outcome) {
    case Outcome::proven:
    case Outcome::working_unproven:
    case Outcome::partly: return Teacher(desk, job, *ending, id).teach();
    case Outcome::came_back: return taken_back(desk, job);
    default: return std::optional<Lessons>();
  }
}

}  // namespace halfsplit::app
