#include "base/file.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>

namespace halfsplit {

namespace {

class Descriptor {
 public:
  explicit Descriptor(int number) : number_(number) {}
  ~Descriptor() { close_now(); }
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  bool good() const { return number_ >= 0; }
  int number() const { return number_; }
  bool close_now() {
    const bool closed = number_ < 0 || ::close(number_) == 0;
    number_ = -1;
    return closed;
  }

 private:
  int number_;
};

Place place_of(const std::string& path) {
  Place place;
  place.file = path;
  return place;
}

Error cannot_open(const std::string& path) {
  const std::string why = std::strerror(errno);
  if (errno == ENOENT || errno == ENOTDIR) return not_found("there is no file " + path, "check the name and the folder");
  return bad_input("can't be read: " + why, place_of(path));
}

Error cannot_write(const std::string& path) {
  const std::string why = std::strerror(errno);
  if (errno == ENOENT || errno == ENOTDIR) return not_found("there is no folder for " + path, "make the folder first");
  return store_trouble("can't write " + path + ": " + why, "check the permissions and the free space");
}

bool write_all(int descriptor, std::string_view text) {
  while (!text.empty()) {
    const ssize_t count = ::write(descriptor, text.data(), text.size());
    if (count < 0 && errno == EINTR) continue;
    if (count < 0) return false;
    text.remove_prefix(static_cast<std::size_t>(count));
  }
  return true;
}

}  // namespace

Result<std::string> read_file(const std::string& path) {
  Descriptor in(::open(path.c_str(), O_RDONLY | O_CLOEXEC));
  if (!in.good()) return cannot_open(path);
  struct stat about {};
  if (::fstat(in.number(), &about) == 0 && S_ISDIR(about.st_mode)) return bad_input("is a folder, not a file", place_of(path));
  std::string text;
  char chunk[1 << 16];
  for (;;) {
    const ssize_t count = ::read(in.number(), chunk, sizeof chunk);
    if (count < 0 && errno == EINTR) continue;
    if (count < 0) return bad_input(std::string("can't be read: ") + std::strerror(errno), place_of(path));
    if (count == 0) return text;
    if (text.size() + static_cast<std::size_t>(count) > kMostFileBytes)
      return bad_input("is over 64 MiB", place_of(path), "no board, part or netlist file is that long: is it the right file?");
    text.append(chunk, static_cast<std::size_t>(count));
  }
}

Status write_file(const std::string& path, std::string_view text) {
  const std::string part = path + ".part-" + std::to_string(::getpid());
  Descriptor out(::open(part.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_NOFOLLOW | O_CLOEXEC, 0666));
  if (!out.good()) return cannot_write(path);
  const bool whole = write_all(out.number(), text) && ::fsync(out.number()) == 0 && out.close_now();
  if (whole && ::rename(part.c_str(), path.c_str()) == 0) return Done{};
  Error error = cannot_write(path);
  ::unlink(part.c_str());
  return error;
}

}  // namespace halfsplit
