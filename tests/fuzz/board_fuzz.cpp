// Any bytes as the files of a machine: a machine or placed errors; what was read is written so that it reads back the same; amending and looking at
// a machine never trips. A line "=== name" starts a file; what stands before the first is machine.toml. Lines of "x.amend" amend the machine.
#include "board/amendment.h"
#include "board/lint.h"
#include "board/machine.h"
#include "board/spec.h"

#include "base/text.h"
#include "expect.h"

using namespace halfsplit;
using namespace halfsplit::board;

namespace {

SpecFiles split_files(std::string_view text) {
  constexpr std::string_view kMark = "=== ";
  SpecFiles files;
  std::string name = "machine.toml";
  for (const std::string_view line : split(text, '\n')) {
    if (starts_with(line, kMark)) name = std::string(trim(line.substr(kMark.size())));
    else files[name].append(line).push_back('\n');
  }
  return files;
}

const std::shared_ptr<const parts::Library>& library() {
  static const auto opened = parts::Library::open(HALFSPLIT_SOURCE_DIR "/shared/parts");
  fuzz::expect(opened.ok(), "the part library opens");
  return opened.value();
}

void look_at(const Machine& machine) {
  for (const Finding& finding : lint(machine)) fuzz::expect(!finding.message.empty(), "a finding says what it found");
  for (std::size_t i = 0; i < machine.pins().size() && i < 50; ++i) {
    const auto found = machine.find_pin(machine.name_of(PinId(i)));
    fuzz::expect(found.ok() && found.value() == PinId(i), "a pin is found by its own name");
    for (std::size_t part = 0; part < machine.parts().size() && part < 4; ++part) {
      const auto path = machine.path(PartId(part), PinId(i));
      fuzz::expect(path.empty() || path.back() == PinId(i), "a path ends where it was asked to");
    }
  }
  for (std::size_t i = 0; i < machine.nets().size(); ++i) {
    const auto found = machine.find_net(machine.nets()[i].name);
    fuzz::expect(!found.ok() || machine.net(found.value()).name == machine.nets()[i].name, "a net is found by its own name");
    for (const PinId pin : machine.nets()[i].pins) fuzz::expect(machine.pin(pin).net == NetId(i), "a pin of a net is on that net");
  }
}

void expect_errors(const Error& error) {
  fuzz::expect(!error.message.empty(), "an error says what is wrong");
  fuzz::expect(error.code != ErrorCode::internal, "bad files are not our bug");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  SpecFiles files = split_files(std::string_view(reinterpret_cast<const char*>(data), size));
  const std::string amendments = files["x.amend"];
  files.erase("x.amend");
  const auto spec = parse_spec(files, "fuzz");
  if (!spec.ok()) {
    fuzz::expect(spec.error().code == ErrorCode::bad_input && spec.error().place.known(), "bad files are bad input with a place");
    return 0;
  }
  const auto written = spec_files(spec.value());
  fuzz::expect(written.ok(), "what was read can be written");
  const auto built = build(spec.value(), library());
  if (built.ok()) look_at(*built.value());
  else expect_errors(built.error());
  const auto lines = parse_amendments(amendments, "x.amend");
  if (!lines.ok()) return 0;
  const auto amended = amend(spec.value(), lines.value(), *library());
  if (!amended.ok()) { expect_errors(amended.error()); return 0; }
  const auto again = build(amended.value(), library());
  if (again.ok()) look_at(*again.value());
  else expect_errors(again.error());
  return 0;
}
