// Any bytes: a case or a placed error; a case writes as text that reads as the same case.
#include "job/case.h"

#include "expect.h"

using namespace halfsplit;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const auto read = job::read_case(text, "fuzz.case");
  if (!read.ok()) {
    fuzz::expect_placed(read.error(), text);
    return 0;
  }
  const std::string written = job::write_case(*read);
  const auto again = job::read_case(written, "fuzz.case");
  fuzz::expect(again.ok(), "a written case can be read");
  fuzz::expect(again->machine == read->machine && again->revision == read->revision && again->title == read->title, "the head is the same");
  fuzz::expect(again->steps.size() == read->steps.size(), "no step is lost");
  for (std::size_t i = 0; i < read->steps.size(); ++i) fuzz::expect(again->steps[i].what == read->steps[i].what, "a step is the same");
  fuzz::expect(job::write_case(*again) == written, "the text is the same");
  return 0;
}
