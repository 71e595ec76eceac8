// netlist/ipc_copper.h - pen paths of IPC-D-356A: conductors (378, 078) and outlines (389, 089), in the file's own units.
//
// Idea:     an aperture, then points; a blank joins a point to the one before, "*" lifts the pen, an axis that did not change is left out.
#pragma once
#include <cstdint>
#include <string_view>
#include <vector>

namespace halfsplit::netlist {

struct UnitPoint { std::int32_t x = 0, y = 0; };

class PenPath {
 public:
  enum class Kind { conductor, outline };
  explicit PenPath(Kind kind) : kind_(kind) {}
  /// Reads more of the path, from the first record or a continuation.
  void read(std::string_view text);
  /// Pieces of at least one point; the pen is lifted between them.
  const std::vector<std::vector<UnitPoint>>& pieces() const { return pieces_; }
  std::int32_t aperture() const { return aperture_; }  ///< width; 0 when not given
  bool without_aperture() const { return started_ && !has_aperture_; }
  std::size_t unreadable() const { return unreadable_; }  ///< words that are no coordinates

 private:
  void word(std::string_view text);
  void point(bool has_x, bool has_y, std::int32_t x, std::int32_t y);

  Kind kind_;
  std::vector<std::vector<UnitPoint>> pieces_;
  UnitPoint pen_;
  std::int32_t aperture_ = 0;
  bool started_ = false, has_aperture_ = false, lifted_ = true;
  std::size_t unreadable_ = 0;
};

}  // namespace halfsplit::netlist
