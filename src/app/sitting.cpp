#include "app/sitting.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "app/swapping.h"
#include "app/tracing.h"
#include "base/text.h"
#include "board/amendment.h"
#include "board/spec.h"
#include "observe/parse.h"

namespace halfsplit::app {
namespace {

/// A part that was just replaced is seldom bad again; its joints were touched and are not better than before.
constexpr double kNewPart = 0.1;

std::string folder_of(const Places& places, const job::Job& job) {
  const auto at_folder = find_board(places, job.folder);
  if (at_folder) return *at_folder;
  const auto by_name = find_board(places, job.machine);
  return by_name ? *by_name : std::string();
}

std::vector<board::Question> questions_of(const board::MachineSpec& spec) {
  std::vector<board::Question> out;
  for (const board::QuestionSpec& one : spec.questions) out.push_back({one.id, one.text, one.answers});
  return out;
}

}  // namespace

bool is_kept(const board::Amendment& amendment, const std::vector<std::string>& kept) {
  return std::any_of(kept.begin(), kept.end(), [&](const std::string& line) {
    const auto one = board::parse_amendment(line);
    return one && board::same_change(*one, amendment);
  });
}

Result<std::vector<std::string>> amendments_of(const job::Options& options, const std::vector<board::Question>& questions, const std::vector<std::string>& kept) {
  std::vector<std::string> out;
  for (const job::Answer& answer : options.answers) {
    const auto question = std::find_if(questions.begin(), questions.end(), [&](const auto& one) { return lower(one.id) == lower(answer.question); });
    if (question == questions.end()) {
      std::vector<std::string> ids;
      for (const auto& one : questions) ids.push_back(one.id);
      const auto near = did_you_mean(answer.question, ids);
      return not_found("the machine asks no question called " + in_quotes(answer.question), near ? "did you mean " + *near + "?" : ids.empty() ? "it has no open questions" : "open: " + join(ids, ", "));
    }
    const auto chosen = std::find_if(question->answers.begin(), question->answers.end(), [&](const auto& one) { return lower(one.word) == lower(answer.word); });
    if (chosen == question->answers.end()) {
      std::vector<std::string> words;
      for (const auto& one : question->answers) words.push_back(one.word);
      return usage(in_quotes(answer.word) + " is no answer to " + question->id, "it may be: " + join(words, ", "));
    }
    if (chosen != question->answers.begin()) out.insert(out.end(), chosen->amendments.begin(), chosen->amendments.end());
  }
  for (const std::string& line : options.amendments) {
    const auto amendment = board::parse_amendment(line);
    if (!amendment) return amendment.error();
    if (!is_kept(*amendment, kept)) out.push_back(line);
  }
  return out;
}

Sitting::~Sitting() = default;

Result<std::unique_ptr<Sitting>> Sitting::of(const Places& places, job::Job job) {
  ModelShelf shelf(places);
  return of(places, std::move(job), shelf);
}

Result<std::unique_ptr<Sitting>> Sitting::of(const Places& places, job::Job job, ModelShelf& shelf) {
  std::unique_ptr<Sitting> out(new Sitting);
  out->places_ = places;
  out->folder_ = folder_of(places, job);
  if (out->folder_.empty()) return not_found("the machine " + in_quotes(job.machine) + " of this job is gone", "it was in " + job.folder + "; put it back, or name its place: --data DIR");
  out->job_ = std::move(job);
  if (const Status opened = out->open_model(shelf); !opened) return opened.error();
  return out;
}

Status Sitting::open_model(ModelShelf& shelf) {
  options_ = job_.options();
  amendments_.clear();
  if (!options_.answers.empty() || !options_.amendments.empty()) {
    const auto spec = board::load_spec(folder_);
    if (!spec) return spec.error();
    auto lines = amendments_of(options_, questions_of(*spec), spec->amendments);
    if (!lines) return lines.error();
    amendments_ = std::move(lines).value();
  }
  auto model = shelf.open(folder_, amendments_);
  if (!model) return model.error();
  model_ = std::move(model).value();
  resolved_ = job::resolve(job_.lines, machine());
  if (is_sketch(machine())) {
    const auto traced = traced_lines(folder_, history(), machine());
    if (!traced) return traced.error();
    if (!traced->empty()) {
      amendments_.insert(amendments_.end(), traced->begin(), traced->end());
      model = shelf.open(folder_, amendments_);
      if (!model) return model.error();
      session_.reset();
      model_ = std::move(model).value();
      resolved_ = job::resolve(job_.lines, machine());
    }
  }
  if (is_sketch(machine()))
    if (const Status read = read_doubts(); !read) return read;
  gather();
  return Done{};
}

Status Sitting::read_doubts() {
  doubts_.clear();
  const auto spec = board::load_spec(folder_);
  if (!spec) return spec.error();
  std::vector<std::string> lines = spec->amendments;
  lines.insert(lines.end(), amendments_.begin(), amendments_.end());
  for (const auto& [name, doubt] : board::likely_doubts(lines))
    if (const auto pin = machine().find_pin(name); pin && doubt > 0) doubts_[*pin] = doubt;
  return Done{};
}

job::Hashes Sitting::hashes() const { return {machine().hash(), model_->library().hash(), model_->knowledge().hash()}; }

fault::Evidence Sitting::evidence_of(const observe::Observation& seen, std::size_t event) const {
  fault::Evidence out;
  out.query.setup = seen.setup;
  // What is tried out of the machine is the part of that name, whatever sits in its place meanwhile.
  if (seen.kind == observe::Kind::part_test || seen.kind == observe::Kind::dump) out.query.setup = board::all_own(seen.setup);
  out.query.point = seen.point;
  out.query.kind = seen.kind;
  out.query.cycle = seen.cycle;
  if (seen.value.relative) out.query.beside = seen.value.relative->other;
  out.value = seen.value;
  out.doubt = model_->knowledge().doubt(seen.kind, seen.sure);
  out.share = seen.share;
  out.event = event;
  out.good = good_at(out.query);
  return out;
}

std::optional<observe::Value> Sitting::good_at(const fault::Query& query) const {
  std::optional<observe::Value> out;
  const auto take = [&](const observe::Observation& seen) {
    if (seen.on_good && seen.point == query.point && seen.kind == query.kind && seen.cycle == query.cycle && seen.setup.powered() == query.setup.powered()) out = seen.value;
  };
  for (const observe::Observation& seen : good_elsewhere_) take(seen);
  for (const observe::Event& event : history().events())
    if (const auto* seen = std::get_if<observe::Observation>(&event)) take(*seen);
  return out;
}

void Sitting::know_good(const std::vector<job::Record>& records) {
  for (const job::Record& record : records) {
    const auto event = job::read_record(record.value, machine(), job::Line{});
    if (!event) continue;
    if (const auto* seen = std::get_if<observe::Observation>(&*event)) good_elsewhere_.push_back(*seen);
  }
  if (!records.empty()) gather();
}

/// "same" or "U7 same": what was read last, there or on the last line, read again as the bench is now.
Result<std::vector<observe::Event>> Sitting::again(std::string_view typed, const std::string& when) const {
  const auto pieces = words(typed);
  std::optional<board::PartId> part;
  if (pieces.size() == 2) {
    const auto found = machine().find_part(pieces[0]);
    if (!found) return found.error();
    part = *found;
  }
  const auto here = [&](const observe::Observation& seen) {
    return !seen.on_good && (!part || (seen.point.at == observe::Point::At::leg && machine().pin(seen.point.pin).part == *part) || (seen.point.at == observe::Point::At::part && seen.point.part == *part));
  };
  std::vector<observe::Event> out;
  std::optional<std::size_t> line;
  for (std::size_t i = history().events().size(); i-- > 0;) {
    const auto* seen = std::get_if<observe::Observation>(&history().events()[i]);
    if (!seen || !here(*seen)) continue;
    if (line && resolved_.line_of[i] != *line) break;
    line = resolved_.line_of[i];
    observe::Observation one = *seen;
    one.setup = one.setup.powered() == state().powered() ? state() : one.setup;
    one.when = when;
    one.typed = std::string(typed);
    out.insert(out.begin(), one);
  }
  if (out.empty()) return usage(part ? "the same as what? Nothing has been read at " + machine().part(*part).ref : std::string("the same as what? Nothing has been read yet"), "type the reading: U7 L P P P H");
  return out;
}

void Sitting::gather() {
  if (auto spares = observe::spares_in(history()); spares != model_->spares()) {
    auto fitted = model_->with_spares(std::move(spares));
    session_.reset();
    if (model_.use_count() == 1) fitted->keep_table_in(model_->take_keeper());
    model_ = std::move(fitted);
  }
  evidence_.clear();
  session_.reset();
  ranking_.reset();
  scored_ = 0;
  const observe::Epoch now = history().epochs().back();
  for (std::size_t i = now.first; i < now.last; ++i)
    if (const auto* seen = std::get_if<observe::Observation>(&history().events()[i]); seen && !seen->on_good) evidence_.push_back(evidence_of(*seen, i));
}

Result<Understood> Sitting::understand(job::LineKind kind, std::string_view typed, const std::string& when, const std::string& about) const {
  auto line = job::make_line(kind, typed, when);
  if (!line) return line.error();
  Understood out{std::move(line).value(), {}, {}, {}};
  switch (kind) {
    case job::LineKind::read: {
      const auto said = words(out.line.typed);
      if (!said.empty() && said.size() <= 2 && lower(said.back()) == "same") {
        auto repeated = again(out.line.typed, when);
        if (!repeated) return repeated.error();
        out.events = std::move(repeated).value();
        break;
      }
      auto seen = observe::parse_reading(out.line.typed, machine(), state());
      if (!seen) return seen.error();
      for (auto& one : *seen) out.events.emplace_back(std::move(one));
      break;
    }
    case job::LineKind::symptom: {
      out.heard = knowledge::match_symptoms(model_->knowledge(), out.line.typed, machine(), state());
      std::optional<board::FunctionId> meant;
      if (!about.empty()) {
        const auto found = machine().find_function(about);
        if (!found) return found.error();
        meant = *found;
      }
      for (auto& heard : out.heard) {
        if (heard.observations.empty() && meant) heard.observations.push_back(knowledge::about_function(heard, *meant, state()));
        for (const auto& one : heard.observations) out.events.emplace_back(one);
      }
      break;
    }
    case job::LineKind::state: {
      auto read = observe::parse_state_line(out.line.typed, machine(), state());
      if (!read) return read.error();
      out.events.emplace_back(observe::StateChange{std::move(read->now), when, out.line.typed, std::move(read->done), std::move(read->remark)});
      break;
    }
    case job::LineKind::repair: {
      auto repair = observe::parse_repair(out.line.typed, machine());
      if (!repair) return repair.error();
      const board::Setup after = repair->act == observe::Repair::Act::replaced ? settled(state(), repair->part) : state();
      out.events.emplace_back(std::move(repair).value());
      if (!(after == state())) out.events.emplace_back(observe::StateChange{after, when, out.line.typed});
      break;
    }
    case job::LineKind::swap: {
      auto swap = observe::parse_swap(out.line.typed, machine(), history());
      if (!swap) return swap.error();
      auto events = swap_events(*swap, *this, out.line.typed, when);
      if (!events) return events.error();
      out.events = std::move(events).value();
      out.swap = std::move(swap).value();
      break;
    }
    case job::LineKind::note: out.events.emplace_back(observe::Note{out.line.typed, when}); break;
    case job::LineKind::amend: {
      const auto amendment = board::parse_amendment(out.line.typed);
      if (!amendment) return amendment.error();
      out.events.emplace_back(observe::Amended{board::describe(*amendment), amendment->origin == board::Amendment::Origin::ours, when, out.line.typed});
      break;
    }
    case job::LineKind::answer:
    case job::LineKind::want:
    case job::LineKind::leave:
    case job::LineKind::cannot:
    case job::LineKind::profile:
    case job::LineKind::tools:
    case job::LineKind::close: break;
  }
  for (const observe::Event& event : out.events) out.line.records.push_back(job::record_of(event, machine()));
  return out;
}

Status Sitting::keep(const Understood& understood, store::Workshop* workshop) {
  if (const Status may = job::may_add(job_, understood.line); !may) return may;
  if (workshop) {
    if (const Status stored = workshop->append(job_, understood.line); !stored) return stored;
  } else {
    job_.lines.push_back(understood.line);
  }
  return take(understood);
}

Status Sitting::take(const Understood& understood) {
  const bool traces = std::any_of(understood.events.begin(), understood.events.end(), [](const observe::Event& event) {
    const auto* seen = std::get_if<observe::Observation>(&event);
    return seen && seen->kind == observe::Kind::continuity;
  });
  if (traces && is_sketch(machine())) {
    session_.reset();  // before the predictor it asks
    ModelShelf shelf(places_);
    return open_model(shelf);
  }
  options_ = job_.options();
  const std::size_t epochs = history().epochs().size();
  for (const observe::Event& event : understood.events) {
    resolved_.history.add(event);
    resolved_.line_of.push_back(job_.lines.size() - 1);
    const std::size_t index = history().events().size() - 1;
    if (const auto* seen = std::get_if<observe::Observation>(&event); seen && !seen->on_good) evidence_.push_back(evidence_of(*seen, index));
  }
  const bool of_good = std::any_of(understood.events.begin(), understood.events.end(), [](const observe::Event& event) {
    const auto* seen = std::get_if<observe::Observation>(&event);
    return seen && seen->on_good;
  });
  if (of_good || history().epochs().size() != epochs || observe::spares_in(history()) != model_->spares()) gather();
  const bool new_words = learned_ && !learned_->empty() && understood.line.kind == job::LineKind::symptom;
  if (new_words) session_.reset();
  if (new_words) scored_ = 0;
  ranking_.reset();
  return Done{};
}

void Sitting::learn_from(std::shared_ptr<const knowledge::Beliefs> learned) {
  learned_ = std::move(learned);
  session_.reset();
  ranking_.reset();
  scored_ = 0;
}

Result<fault::PriorOdds> Sitting::odds() {
  knowledge::Circumstances circumstances;
  circumstances.profile = job::name_of(options_.profile);
  circumstances.doubts = doubts_;
  for (const observe::Repair& repair : history().repairs()) circumstances.worked_on.push_back(repair.part);
  auto odds = model_->odds(circumstances, learned_.get());
  if (!odds) return odds.error();
  if (learned_ && !learned_->empty()) link_symptoms(*odds);
  for (const observe::Repair& repair : history().repairs()) {
    if (repair.act != observe::Repair::Act::replaced) continue;
    const auto site = model_->catalogue().site_of_part(repair.part);
    if (!site) continue;
    for (const fault::FaultId fault : model_->catalogue().faults_at(*site))
      if (model_->catalogue().fault(fault).site.kind == fault::Site::Kind::part) odds->log_odds[fault.index()] += std::log(kNewPart);
  }
  weigh_spares(*odds);
  return odds;
}

/// Ids of the symptoms told since the last repair.
std::vector<std::string> Sitting::symptoms() const {
  std::vector<std::string> out;
  const std::size_t first = history().epochs().back().first;
  const std::size_t from = first < resolved_.line_of.size() ? resolved_.line_of[first] : job_.lines.size();
  for (std::size_t i = from; i < job_.lines.size(); ++i) {
    if (job_.lines[i].kind != job::LineKind::symptom) continue;
    for (const auto& heard : knowledge::match_symptoms(model_->knowledge(), job::symptom_in(job_.lines[i]).words, machine()))
      if (!heard.symptom.empty() && std::find(out.begin(), out.end(), heard.symptom) == out.end()) out.push_back(heard.symptom);
  }
  return out;
}

/// The words that were used, as far as repairs have shown what they go with. A factor on the odds: what the readings exclude stays excluded.
void Sitting::link_symptoms(fault::PriorOdds& odds) {
  const fault::Catalogue& catalogue = model_->catalogue();
  for (const std::string& symptom : symptoms()) {
    std::map<std::string, double> factors;
    for (std::size_t i = 0; i < catalogue.size(); ++i) {
      const std::string of_class = knowledge::strand_of(catalogue.faults()[i], machine()).rate_class;
      if (of_class.empty()) continue;
      const auto [it, fresh] = factors.try_emplace(of_class, 0);
      if (fresh) it->second = std::log(learned_->symptom_factor(symptom, of_class));
      odds.log_odds[i] += it->second;
    }
  }
}

/// A spare is bad as often as its kind of spare is, in the ways in which the part would be.
void Sitting::weigh_spares(fault::PriorOdds& odds) {
  const fault::Catalogue& catalogue = model_->catalogue();
  for (std::size_t i = 0; i < catalogue.site_count(); ++i) {
    const fault::SiteId site(i);
    if (!catalogue.is_spare(site)) continue;
    double sum = 0;
    for (const fault::FaultId fault : catalogue.faults_at(site)) sum += std::exp(odds.log_odds[fault.index()]);
    const fault::Site& spare = catalogue.fault(catalogue.faults_at(site).front()).site;
    const double bad = model_->knowledge().bad_spare(observe::grade_of_spare(spare.part, spare.spare, history()));
    for (const fault::FaultId fault : catalogue.faults_at(site)) odds.log_odds[fault.index()] += std::log(bad / (1 - bad) / sum);
  }
}

Result<fault::Ranking> Sitting::ranking() {
  if (ranking_) return *ranking_;
  if (!session_) {
    auto priors = odds();
    if (!priors) return priors.error();
    session_.emplace(model_->predictor(), std::move(priors).value());
  }
  session_->add(std::vector<fault::Evidence>(evidence_.begin() + static_cast<std::ptrdiff_t>(scored_), evidence_.end()));
  scored_ = evidence_.size();
  ranking_ = session_->rank();
  return *ranking_;
}

}  // namespace halfsplit::app
