// Sections profile, parents, rate, group, modes: how often and how parts fail.
#include <cmath>

#include <fmt/core.h>

#include "base/text.h"
#include "knowledge/read_pack.h"

namespace halfsplit::knowledge {
namespace {

Per need_per(Fields& fields) {
  const std::string word = fields.text("per").value_or("part");
  if (word == "part") return Per::part;
  if (word == "contact") return Per::contact;
  if (word == "pin") return Per::pin;
  if (word == "net") return Per::net;
  if (word == "machine") return Per::machine;
  fields.fail("a rate is per part, contact, pin, net or machine, not per " + in_quotes(word), fields.place());
  return Per::part;
}

Profile read_profile(Fields& fields) {
  Profile profile;
  read_entry(fields, profile);
  profile.title = fields.need_text("title");
  profile.faults = number_within(fields, "faults", 0.01, 20);
  profile.outside = number_within(fields, "outside", 0, 0.9);
  profile.unit = number_within(fields, "unit", 1e-6, 1);
  return profile;
}

RateRow read_rate(Fields& fields, const std::vector<std::string>& profiles, Errors& errors) {
  RateRow row;
  read_entry(fields, row);
  row.rate_class = fields.need_text("class");
  row.technology = fields.text("technology").value_or("");
  row.per = need_per(fields);
  row.basis = fields.text("basis").value_or("");
  row.note = fields.text("note").value_or("");
  for (const std::string& profile : profiles)
    for_table(fields, profile, errors, [&](Fields& figure) {
      row.figures.push_back({profile, number_within(figure, "rate", 1e-9, 1e6), number_within(figure, "sample", 0, 1e9)});
    });
  if (row.figures.empty()) fields.fail("a rate needs a figure for a profile", fields.place(), "as in aged = { rate = 1.0, sample = 0.5 }");
  return row;
}

ModeShares read_shares(Fields& fields, Errors& errors) {
  ModeShares out;
  read_entry(fields, out);
  out.rate_class = fields.need_text("class");
  out.technology = fields.text("technology").value_or("");
  out.sample = number_within(fields, "sample", 0, 1e9);
  double sum = 0;
  for_each_table(fields, "shares", errors, [&](Fields& item) {
    ModeShare share{item.need_text("mode"),    number_within(item, "share", 0, 1),    number_within(item, "met", 0, 1e9, 0),
                    number_within(item, "prior", 0, 1, 0), item.text("shows").value_or(""), item.place()};
    sum += share.share;
    out.shares.push_back(std::move(share));
  });
  if (out.shares.empty() || std::abs(sum - 1) > 0.02)
    fields.fail(fmt::format("the shares of {} add up to {}, not to 1", in_quotes(out.rate_class), shown(sum)), fields.place());
  return out;
}

}  // namespace

void read_rates(Fields& top, Entries& entries, Errors& errors) {
  for_each_table(top, "profile", errors, [&](Fields& fields) { entries.profiles.push_back(read_profile(fields)); });
  for_each_table(top, "parents", errors, [&](Fields& fields) { entries.parents.push_back({fields.need_text("class"), fields.need_text("parent"), fields.place()}); });
  for_each_table(top, "rate", errors, [&](Fields& fields) { entries.rates.push_back(read_rate(fields, entries.profile_names, errors)); });
  for_each_table(top, "group", errors, [&](Fields& fields) {
    GroupFactor group;
    read_entry(fields, group);
    group.rate_class = fields.need_text("class");
    group.name = fields.need_text("name");
    group.factor = number_within(fields, "factor", 1e-3, 1e3);
    group.sample = number_within(fields, "sample", 0, 1e9);
    entries.groups.push_back(std::move(group));
  });
}

void read_modes(Fields& top, Entries& entries, Errors& errors) {
  for_each_table(top, "modes", errors, [&](Fields& fields) { entries.modes.push_back(read_shares(fields, errors)); });
}

}  // namespace halfsplit::knowledge
