// fuzz/replay_main.cpp - `fuzz_READER FOLDER_OR_FILE...`: gives the reader every file of its corpus, then damaged copies: cut short at up to 64
// places, and 64 with a few bytes changed. Seeded, so a crash comes back; the case at hand is named on the way down. No file is a failure.
#include <algorithm>
#include <csignal>
#include <cstdint>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>
#include <unistd.h>
#include <vector>

#include "base/random.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

namespace {

constexpr std::size_t kDamaged = 64;
char case_at_hand[512] = "";

void name_case(int signal_number) {
  [[maybe_unused]] const auto written = write(2, case_at_hand, std::char_traits<char>::length(case_at_hand));
  std::signal(signal_number, SIG_DFL);
  std::raise(signal_number);
}

void give(const std::string& path, const std::string& what, const std::string& text) {
  std::snprintf(case_at_hand, sizeof case_at_hand, "replay: %s, %s\n", path.c_str(), what.c_str());
  LLVMFuzzerTestOneInput(reinterpret_cast<const std::uint8_t*>(text.data()), text.size());
}

std::string damaged(std::string text, halfsplit::Random& random) {
  static constexpr std::string_view kNasty("\0\xff\x80[]{}.\"'\\,=\n\r#0", 18);
  for (std::uint64_t change = 1 + random.below(4); change > 0; --change) {
    const std::size_t at = random.below(text.size());
    const char byte = random.chance(0.5) ? kNasty[random.below(kNasty.size())] : static_cast<char>(random.below(256));
    if (random.chance(0.5)) text[at] = byte;
    else text.insert(at, 1, byte);
  }
  return text;
}

std::size_t replay(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  std::ostringstream bytes;
  bytes << in.rdbuf();
  const std::string text = bytes.str();
  give(path, "whole", text);
  if (text.empty()) return 1;
  const std::size_t step = std::max<std::size_t>(1, text.size() / kDamaged);
  std::size_t runs = 1;
  for (std::size_t length = 0; length < text.size(); length += step, ++runs) give(path, "first " + std::to_string(length) + " bytes", text.substr(0, length));
  halfsplit::Random random(halfsplit::content_hash(text));
  for (std::size_t i = 0; i < kDamaged; ++i, ++runs) give(path, "damage " + std::to_string(i), damaged(text, random));
  return runs;
}

}  // namespace

int main(int count, char** words) {
  for (const int signal_number : {SIGSEGV, SIGABRT, SIGFPE, SIGILL}) std::signal(signal_number, name_case);
  std::vector<std::string> paths;
  for (int i = 1; i < count; ++i) {
    if (!std::filesystem::is_directory(words[i])) { paths.emplace_back(words[i]); continue; }
    for (const auto& entry : std::filesystem::directory_iterator(words[i])) paths.push_back(entry.path().string());
  }
  std::sort(paths.begin(), paths.end());
  std::size_t runs = 0;
  for (const std::string& path : paths) runs += replay(path);
  std::printf("%zu corpus files, %zu runs\n", paths.size(), runs);
  return paths.empty() ? 1 : 0;
}
