// app/sitting.h - one job at the bench: its lines on its machine, the evidence they make, the ranking that follows.
//
// Owns:     the job, the model of its machine with amendments and answers applied, the scores of the evidence so far.
// Errors:   opening: no job, a job of another number, a machine whose files are gone or broken.
// Cost:     text is read when opening; the ranking is made at the first question and grows with each added line.
// Start at: Sitting::open_current(); Sitting::of() for a case without a workshop.
#pragma once
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "app/model.h"
#include "board/amendment.h"
#include "fault/ranking.h"
#include "infer/rank.h"
#include "job/job.h"
#include "job/record.h"
#include "knowledge/belief.h"
#include "knowledge/symptom.h"
#include "observe/history.h"
#include "observe/swap.h"
#include "store/workshop.h"

namespace halfsplit::app {

/// A line that was understood but is not yet part of the job.
struct Understood {
  job::Line line;
  std::vector<observe::Event> events;
  std::vector<knowledge::Heard> heard;  ///< symptoms
  std::optional<observe::Swap> swap;
};

class Sitting {
 public:
  /// The job on its machine: found by its folder, else by its name.
  static Result<std::unique_ptr<Sitting>> of(const Places& places, job::Job job);
  /// The same on models shared with other jobs.
  static Result<std::unique_ptr<Sitting>> of(const Places& places, job::Job job, ModelShelf& shelf);
  ~Sitting();

  const job::Job& job() const { return job_; }
  job::Job& job() { return job_; }
  const job::Options& options() const { return options_; }
  Model& model() { return *model_; }
  const Model& model() const { return *model_; }
  const std::string& folder() const { return model_->folder(); }
  const board::Machine& machine() const { return model_->machine(); }
  const observe::History& history() const { return resolved_.history; }
  board::Setup state() const { return resolved_.history.state(); }
  /// Lines by which the machine is made, the machine's own kept ones left out.
  const std::vector<std::string>& amendments() const { return amendments_; }
  /// Number of the line (from 1) that an event came from.
  std::size_t line_number(std::size_t event) const { return resolved_.line_of[event] + 1; }
  const std::vector<job::Lost>& lost() const { return resolved_.lost; }
  /// What the files at hand hash to now; differs from job().hashes when they changed since.
  job::Hashes hashes() const;

  /// Parses the line as if typed now. `about`: the function meant, where a symptom left it open.
  Result<Understood> understand(job::LineKind kind, std::string_view typed, const std::string& when, const std::string& about = {}) const;
  /// A continuity reading on a sketch makes the machine anew.
  /// Stores the line (first, so that a kill loses nothing) and takes it in. Without a workshop it is only taken in. Lines that change the
  /// machine (answer, amend) need a new sitting afterwards.
  Status keep(const Understood& understood, store::Workshop* workshop);

  /// Observations that speak of the machine as it is now: since the last repair.
  const std::vector<fault::Evidence>& evidence() const { return evidence_; }
  /// What the repairs of this workshop have taught; without it the packs alone count.
  void learn_from(std::shared_ptr<const knowledge::Beliefs> learned);
  const knowledge::Beliefs* learned() const { return learned_.get(); }
  /// What a good machine of this model showed at the point, in this job or an earlier one; nothing where none was read.
  std::optional<observe::Value> good_at(const fault::Query& query) const;
  /// Readings of good machines from other jobs; what no longer means anything on this machine is left out.
  void know_good(const std::vector<job::Record>& records);
  /// Error only for a profile that the knowledge doesn't have.
  Result<fault::PriorOdds> odds();
  Result<fault::Ranking> ranking();

 private:
  Sitting() = default;
  Status take(const Understood& understood);
  std::vector<std::string> symptoms() const;
  void link_symptoms(fault::PriorOdds& odds);
  void gather();
  Status open_model(ModelShelf& shelf);
  Status read_doubts();
  void weigh_spares(fault::PriorOdds& odds);
  fault::Evidence evidence_of(const observe::Observation& seen, std::size_t event) const;
  Result<std::vector<observe::Event>> again(std::string_view typed, const std::string& when) const;

  Places places_;
  std::string folder_;
  job::Job job_;
  job::Options options_;
  std::vector<observe::Observation> good_elsewhere_;  ///< read on good machines, told in other jobs
  std::vector<std::string> amendments_;
  std::map<board::PinId, double> doubts_;  ///< of connections taken as likely
  std::shared_ptr<Model> model_;
  std::shared_ptr<const knowledge::Beliefs> learned_;
  job::Resolved resolved_;
  std::vector<fault::Evidence> evidence_;
  std::optional<infer::Session> session_;
  std::size_t scored_ = 0;  ///< pieces of evidence the session has
  std::optional<fault::Ranking> ranking_;
};

/// Is the change among the corrections that the machine's file keeps?
bool is_kept(const board::Amendment& amendment, const std::vector<std::string>& kept);
/// Lines that the answers of a job to its machine's questions and its own amendments come to, without those that the file keeps meanwhile.
Result<std::vector<std::string>> amendments_of(const job::Options& options, const std::vector<board::Question>& questions, const std::vector<std::string>& kept);

}  // namespace halfsplit::app
