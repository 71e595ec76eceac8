// knowledge/pack.h - what the text files of knowledge/ say, as plain data: every entry with its id, source, version and place.
//
// Shape:    a pack may hold any of the sections; the packs of a folder are read as one (the ids must differ).
// Owns:     everything by value.
// Start at: Pack; read by knowledge/read_pack.h; format in docs/knowledge-format.md.
#pragma once
#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "observe/observation.h"

namespace halfsplit::knowledge {

struct Entry {
  std::string id;
  std::string source;        ///< id of a Source
  std::int64_t version = 1;
  Place place;
};

struct Source { std::string id, title; Place place; };

/// A kind of machine for which the rates are given apart: "aged", "recent-build".
struct Profile : Entry {
  std::string title;
  double faults = 1.7;   ///< expected faults of one machine on the bench
  double outside = 0;    ///< share of them that no catalogue holds
  double unit = 1;       ///< faults per part and story at rate 1
};

/// What a rate counts.
enum class Per : std::uint8_t { part, contact, pin, net, machine };

struct Figure { std::string profile; double rate = 0, sample = 0; };
struct RateRow : Entry {
  std::string rate_class, technology;  ///< technology empty: the class as a whole
  Per per = Per::part;
  std::vector<Figure> figures;         ///< one per profile told
  std::string basis, note;
};
struct Parent { std::string rate_class, parent; Place place; };
/// A factor on a class by function group ("multiplexer").
struct GroupFactor : Entry { std::string rate_class, name; double factor = 1, sample = 0; };

struct ModeShare { std::string mode; double share = 0, met = 0, prior = 0; std::string shows; Place place; };
struct ModeShares : Entry { std::string rate_class, technology; double sample = 0; std::vector<ModeShare> shares; };

struct GroupSensitivity { std::string group; double sensitivity = 0, hits = 0, misses = 0, prior = 0; Place place; };
struct Look : Entry {
  std::string title, note;
  std::vector<observe::Kind> kinds;     ///< kinds of observation it stands for; empty: only told of
  double false_alarm = 0.05, alarms = 0, clears = 0, prior_false_alarm = 0;
  std::vector<GroupSensitivity> groups;
};
/// Chance that a reading of this kind is itself wrong.
struct Doubt : Entry { observe::Kind kind = observe::Kind::probe; double chance = 0.02; std::string note; };

/// Chance that a spare of this grade is bad: new, known-good, tested, untested.
struct SpareGrade : Entry { std::string grade; double bad = 0.05; std::string note; };

/// Bench minutes: low, typical, high; the middle one is reckoned with.
struct Minutes { double low = 0, typical = 0, high = 0; };
struct ReadingMinutes : Entry { observe::Kind kind = observe::Kind::probe; Minutes minutes; double risk = 0; std::string note; };
struct ActionMinutes : Entry { std::string kind; Minutes minutes, undo; double risk = 0; std::string note; };
struct RepairMinutes : Entry { std::string rate_class, technology; Minutes minutes; double risk = 0; std::string note; };
/// To unsolder a chip and to fit another in a socket, by its pins; `pins` 0: the row for chips in sockets.
struct ChipMinutes : Entry { std::int64_t pins = 0; Minutes minutes, fit; double risk = 0; std::string note; };

/// A factor on rates where the circumstances fit; what is not told fits always.
struct Modifier : Entry {
  enum class On : std::uint8_t { part, joint, outside };
  On on = On::part;
  std::vector<std::string> classes;
  std::optional<double> rail_from, rail_to;  ///< nominal volts (size) of the highest rail at the part
  std::optional<bool> socketed, worked_on, in_leak;
  std::string earlier_work;                  ///< "known", "none", or empty
  std::string hazard;                        ///< the part lies in a zone of this hazard
  bool spread = false;                       ///< only shares out the joints' rate, whose sum stays
  double factor = 1;
  std::string note;
};
struct DrawingDoubt : Entry { double pin = 0, unconfirmed = 1, custom = 1; };
/// A single figure that a section gives: share of the unlisted mode, chance that a sure reading is wrong.
struct Chance : Entry { double chance = 0; };
struct SingleMinutes : Entry { Minutes minutes; };

/// Where and of what kind causes of a symptom were found, with counts of culprit entries.
struct Link { std::string area, cause; double aged = 0, recent = 0; };
/// Words for functions of some kinds.
struct Subject : Entry { std::vector<std::string> kinds, words; bool every = false; };
struct State : Entry { observe::Word word = observe::Word::bad; std::vector<std::string> words; };
struct Symptom : Entry {
  std::string title, kind;              ///< kind of function; empty: the machine as a whole
  observe::Kind look = observe::Kind::function;  ///< what kind of look it is
  observe::Word word = observe::Word::bad;
  bool every = false;                   ///< speaks of all functions of the kind
  std::vector<std::string> phrases;
  std::vector<Link> links;
};
struct Contraction { std::string shortened, full; };
struct Filler : Entry { std::vector<std::string> words, negations, breaks, conditions; std::vector<Contraction> contractions; };
struct LinkBase : Entry { double weight = 5; std::vector<Link> links; };

/// How far one workshop's rates are expected to lie from the packs', as equivalent sample sizes in entries (shape of a Gamma with mean 1) a level.
struct LearningSpread : Entry {
  std::array<double, 5> samples = {1.5, 5, 5, 8, 4};  ///< class, technology, type, machine, position
  double modes = 6;                                   ///< of the mode shares of a level
  double error_chance = 0.01, error_factor = 15, error_sample = 0.8;  ///< a position that is a design error
  double by_itself = 0.1;                             ///< chance that a machine works again though its culprit was not touched
};

/// How a repair is done, as a checklist; or an erratum: what is wrong on every machine of a revision, and its cure.
struct Procedure : Entry {
  std::string title;
  bool erratum = false;
  // where it holds: all of what is told
  std::string machine;                        ///< id; empty: any
  std::vector<std::string> revisions;         ///< empty: all
  std::vector<std::string> places;            ///< references
  std::vector<std::string> classes, acts;     ///< of parts; replaced, resoldered...
  std::optional<bool> socketed;
  // an erratum
  std::vector<std::string> symptoms;          ///< ids
  std::vector<std::string> changes;           ///< as `amend` takes them: "value C5 22u"
  // what is done; {part} stands for the reference
  std::vector<std::string> parts, cautions, steps, recheck;
};

struct Pack {
  std::string id, title;
  std::int64_t version = 1;
  std::string file;
};

/// All packs of a folder together.
struct Entries {
  std::vector<std::string> profile_names;  ///< of all packs, known before any rate is read
  std::vector<Pack> packs;
  std::vector<Source> sources;
  std::vector<Profile> profiles;
  std::vector<RateRow> rates;
  std::vector<Parent> parents;
  std::vector<GroupFactor> groups;
  std::vector<ModeShares> modes;
  std::vector<Look> looks;
  std::vector<Doubt> doubts;
  std::vector<SpareGrade> spares;
  std::optional<Chance> sure, unlisted;
  std::vector<ReadingMinutes> readings;
  std::vector<ActionMinutes> actions;
  std::vector<RepairMinutes> repairs;
  std::vector<ChipMinutes> chips;
  std::optional<SingleMinutes> find, tryout, astray;
  std::vector<Modifier> modifiers;
  std::optional<DrawingDoubt> drawing;
  std::vector<Subject> subjects;
  std::vector<State> states;
  std::vector<Symptom> symptoms;
  std::optional<Filler> filler;
  std::optional<LinkBase> base;
  LearningSpread learning;
  std::vector<Procedure> procedures;  ///< errata too
};

}  // namespace halfsplit::knowledge
