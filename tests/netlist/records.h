// tests/netlist/records.h - record lines put together by their columns, for the tests of this module.
#pragma once
#include <string>

namespace records {

struct Fields {
  std::string code = "317", net = "STROBE", ref = "U4", dash = "-", pin = "1", middle = " ", hole = "D0315P", access = "A00", x = "X+012000",
              y = "Y+008000", tail = "X0630Y0620R000 S0";
};

inline std::string padded(std::string text, std::size_t width) {
  text.resize(width, ' ');
  return text;
}

inline std::string line(const Fields& f) {
  return padded(f.code, 3) + padded(f.net, 14) + "   " + padded(f.ref, 6) + padded(f.dash, 1) + padded(f.pin, 4) + padded(f.middle, 1) + padded(f.hole, 6) +
         padded(f.access, 3) + f.x + f.y + f.tail + "\n";
}

inline std::string header() {
  return "P  JOB   OSPRILL\nP  CODE  00\nP  UNITS CUST 0\nP  TITLE OSPRILL HOME 8\nP  NUM   1\nP  REV   B\nP  VER   IPC-D-356A\nP  IMAGE PRIMARY\n";
}

/// A whole clean file around some lines.
inline std::string file(const std::string& lines) { return header() + lines + "999\n"; }

}  // namespace records
