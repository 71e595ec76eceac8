#include <map>

#include "knowledge/tables.h"

namespace halfsplit::knowledge {
namespace {

/// A kind of look that no pack tells of.
constexpr double kUnknownFalseAlarm = 0.1;

class Table final : public fault::EvidenceTable {
 public:
  explicit Table(const Entries& entries) {
    for (const Look& look : entries.looks)
      for (const observe::Kind kind : look.kinds) add(kind, look);
  }
  fault::Sensitivity sensitivity(observe::Kind kind, const std::string& mode_group) const override {
    const auto alarm = false_alarm_.find(kind);
    const double rate = alarm == false_alarm_.end() ? kUnknownFalseAlarm : alarm->second;
    const auto hit = hit_.find({kind, mode_group});
    return {hit == hit_.end() ? rate : hit->second, rate};
  }

 private:
  void add(observe::Kind kind, const Look& look) {
    false_alarm_[kind] = look.false_alarm;
    for (const GroupSensitivity& group : look.groups) hit_[{kind, group.group}] = group.sensitivity;
  }
  std::map<observe::Kind, double> false_alarm_;
  std::map<std::pair<observe::Kind, std::string>, double> hit_;
};

}  // namespace

std::unique_ptr<fault::EvidenceTable> make_evidence_table(const Entries& entries) { return std::make_unique<Table>(entries); }

}  // namespace halfsplit::knowledge
