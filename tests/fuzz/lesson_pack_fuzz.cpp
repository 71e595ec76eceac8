// Any bytes: a pack of lessons or a placed error; a pack writes as text that reads as the same pack.
#include "knowledge/lesson_pack.h"

#include "expect.h"

using namespace halfsplit;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  static const auto known = knowledge::Knowledge::load(HALFSPLIT_SOURCE_DIR "/knowledge");
  fuzz::expect(known.ok(), "the shipped packs can be read");
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const auto read = knowledge::read_lesson_pack(text, "fuzz.toml", **known);
  if (!read.ok()) {
    fuzz::expect_placed(read.error(), text);
    return 0;
  }
  const std::string written = knowledge::write_lesson_pack(*read);
  const auto again = knowledge::read_lesson_pack(written, "fuzz.toml", **known);
  fuzz::expect(again.ok(), "a written pack can be read");
  fuzz::expect(again->experience.lessons == read->experience.lessons, "the lessons are the same");
  fuzz::expect(knowledge::write_lesson_pack(*again) == written, "the text is the same");
  return 0;
}
