// report/package.h - what was read round a chip as a small drawing of its package in plain characters, odd pins marked.
//
// Idea:     two columns as the chip lies on the board with its component side up and the notch at the top; packages that are no two rows are a list.
// Start at: print().
#pragma once
#include <iosfwd>
#include <string>
#include <vector>

#include "base/json.h"
#include "report/style.h"

namespace halfsplit::report {

struct PackagePin {
  std::string number, name;  ///< "14", "VCC"
  std::string value;         ///< as read; empty = not read
  bool odd = false;          ///< not as on a good machine
};
struct PackagePicture {
  std::string part, title;   ///< "U7", "quad 2-input NAND gate"
  bool two_rows = false;
  std::vector<PackagePin> pins;  ///< from pin 1 on
};
void print(std::ostream& out, const PackagePicture& picture, const Style& style);
Json json_of(const PackagePicture& picture);

}  // namespace halfsplit::report
