#include "job/expectation.h"

#include <fmt/core.h>

#include <charconv>
#include <cmath>

#include "base/text.h"
#include "job/words.h"

namespace halfsplit::job {
namespace {

constexpr char kSuspect[] = "expect suspect U14 first, ... within 3, ... at-least 0.6, ... at-most 0.02, ... mode output-stuck-low";
constexpr char kOutside[] = "expect outside at-most 0.1";
constexpr char kNext[] = "expect next U9.12 by probe, ... within 3";
constexpr char kError[] = "expect error and words of the message";

template <class Number>
std::optional<Number> number_in(std::string_view text) {
  Number value{};
  const auto [end, trouble] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (trouble != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return value;
}

/// Words of one expectation, taken from the front.
class Reader {
 public:
  Reader(std::vector<std::string_view> pieces, const char* how) : pieces_(std::move(pieces)), how_(how) {}
  bool done() const { return at_ == pieces_.size(); }
  std::string_view peek() const { return done() ? std::string_view{} : pieces_[at_]; }
  std::string_view take() { return done() ? std::string_view{} : pieces_[at_++]; }
  Error trouble(std::string message) const { return usage(std::move(message), how_); }

  Result<std::size_t> rank() {
    const std::string_view word = take();
    const auto value = number_in<std::size_t>(word);
    if (!value || *value == 0) return trouble(fmt::format("within needs a whole number from 1, not {}", in_quotes(word)));
    return *value;
  }
  Result<double> probability(std::string_view after) {
    const std::string_view word = take();
    const auto value = number_in<double>(word);
    if (!value || !(*value >= 0 && *value <= 1)) return trouble(fmt::format("{} needs a probability from 0 to 1, not {}", after, in_quotes(word)));
    return *value;
  }

 private:
  std::vector<std::string_view> pieces_;
  std::size_t at_ = 0;
  const char* how_;
};

/// Reads one bound into `out`; false when the word begins none.
Result<bool> take_bound(Reader& reader, Expectation& out) {
  const std::string_view word = reader.peek();
  const bool ranked = out.what != Expectation::What::outside, weighed = out.what != Expectation::What::next;
  if (ranked && !out.within && (word == "first" || word == "within")) {
    reader.take();
    const auto rank = word == "first" ? Result<std::size_t>(std::size_t{1}) : reader.rank();
    if (!rank) return rank.error();
    out.within = *rank;
    return true;
  }
  auto& bound = word == "at-least" ? out.at_least : out.at_most;
  if (!weighed || bound || (word != "at-least" && word != "at-most")) return false;
  reader.take();
  const auto p = reader.probability(word);
  if (!p) return p.error();
  bound = *p;
  return true;
}

Result<Expectation> read_suspect(Reader reader) {
  Expectation out;
  out.what = Expectation::What::suspect;
  out.subject = reader.take();
  while (!reader.done()) {
    const auto bound = take_bound(reader, out);
    if (!bound) return bound.error();
    if (*bound) continue;
    if (reader.peek() != "mode" || !out.mode.empty()) return reader.trouble(fmt::format("{} can't be read here", in_quotes(reader.peek())));
    reader.take();
    out.mode = reader.take();
    if (out.mode.empty()) return reader.trouble("mode needs a failure mode");
  }
  if (out.subject.empty()) return reader.trouble("which suspect?");
  if (!out.within && !out.at_least && !out.at_most && out.mode.empty()) return reader.trouble("what is expected of the suspect?");
  return out;
}

Result<Expectation> read_outside(Reader reader) {
  Expectation out;
  out.what = Expectation::What::outside;
  while (!reader.done()) {
    const auto bound = take_bound(reader, out);
    if (!bound) return bound.error();
    if (!*bound) return reader.trouble(fmt::format("{} can't be read here", in_quotes(reader.peek())));
  }
  if (!out.at_least && !out.at_most) return reader.trouble("how much may lie outside?");
  return out;
}

Result<Expectation> read_next(Reader reader) {
  Expectation out;
  out.what = Expectation::What::next;
  while (!reader.done() && reader.peek() != "by") out.subject += (out.subject.empty() ? "" : " ") + std::string(reader.take());
  if (out.subject.empty()) return reader.trouble("a test of which point?");
  if (reader.take() != "by") return reader.trouble("by which kind of look?");
  const std::string_view word = reader.take();
  const auto kind = named<observe::Kind>(word);
  if (!kind) {
    const auto near = did_you_mean(word, all_words<observe::Kind>());
    return usage(fmt::format("{} is not a kind of look", in_quotes(word)), near ? fmt::format("did you mean {}?", *near) : join(all_words<observe::Kind>(), " "));
  }
  out.kind = *kind;
  while (!reader.done()) {
    const auto bound = take_bound(reader, out);
    if (!bound) return bound.error();
    if (!*bound) return reader.trouble(fmt::format("{} can't be read here", in_quotes(reader.peek())));
  }
  if (!out.within) out.within = 1;
  return out;
}

}  // namespace

Result<Expectation> parse_expectation(std::string_view text) {
  text = trim(text);
  std::vector<std::string_view> pieces = words(text);
  const std::string what = pieces.empty() ? std::string() : std::string(pieces.front());
  if (!pieces.empty()) pieces.erase(pieces.begin());
  if (what == "suspect") return read_suspect(Reader(std::move(pieces), kSuspect));
  if (what == "outside") return read_outside(Reader(std::move(pieces), kOutside));
  if (what == "next") return read_next(Reader(std::move(pieces), kNext));
  if (what == "error") {
    Expectation out;
    out.what = Expectation::What::error;
    out.subject = trim(text.substr(what.size()));
    return out.subject.empty() ? Result<Expectation>(usage("which error?", kError)) : out;
  }
  const auto near = did_you_mean(what, {"suspect", "outside", "next", "error"});
  return usage(what.empty() ? "what is expected?" : fmt::format("{} can't be expected", in_quotes(what)),
               near ? fmt::format("did you mean {}?", *near) : "expect suspect, outside, next or error");
}

std::string write_expectation(const Expectation& expectation) {
  using What = Expectation::What;
  if (expectation.what == What::error) return "error " + expectation.subject;
  std::string out = expectation.what == What::suspect ? "suspect " + expectation.subject : expectation.what == What::outside ? "outside" : "next " + expectation.subject;
  if (expectation.what == What::next) out += fmt::format(" by {}", word_of(expectation.kind));
  if (expectation.within) out += *expectation.within == 1 ? std::string(" first") : fmt::format(" within {}", *expectation.within);
  if (expectation.at_least) out += fmt::format(" at-least {}", *expectation.at_least);
  if (expectation.at_most) out += fmt::format(" at-most {}", *expectation.at_most);
  if (!expectation.mode.empty()) out += " mode " + expectation.mode;
  return out;
}

}  // namespace halfsplit::job
