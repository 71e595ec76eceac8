// tests/circuit/bench.h - machines for the tests of module circuit: shipped ones, and small ones typed in.
#pragma once
#include <doctest/doctest.h>

#include <memory>
#include <string>

#include "board/spec.h"

inline std::shared_ptr<const halfsplit::parts::Library> shipped_library() {
  static const auto opened = [] {
    auto it = halfsplit::parts::Library::open(std::string(HALFSPLIT_SOURCE_DIR) + "/shared/parts");
    REQUIRE(it.ok());
    return std::move(it).value();
  }();
  return opened;
}
inline std::shared_ptr<const halfsplit::board::Machine> shipped_machine(const std::string& name) {
  auto it = halfsplit::board::load_machine(std::string(HALFSPLIT_SOURCE_DIR) + "/boards/" + name, shipped_library());
  REQUIRE(it.ok());
  return std::move(it).value();
}
/// Text of the parts and nets tables; `head`: of board.toml.
inline std::shared_ptr<const halfsplit::board::Machine> typed_machine(const std::string& parts, const std::string& nets, const std::string& head = "grounds = [\"GND\"]\n\n[[supply]]\nnet = \"+5V\"\nvolts = 5.0\ntolerance = 0.05\nfrom = \"SUPPLY\"\n") {
  halfsplit::board::SpecFiles files;
  files["machine.toml"] = "format = 1\nid = \"bench\"\ntitle = \"bench\"\n\n[[surrounding]]\nref = \"SUPPLY\"\ntype = \"supply-unit\"\n";
  files["board.toml"] = "format = 1\ntitle = \"bench\"\n" + head;
  files["parts.toml"] = "format = 1\n\n[parts]\n" + parts;
  files["nets.toml"] = "format = 1\n\n[nets]\n" + nets;
  const auto spec = halfsplit::board::parse_spec(files, "bench");
  REQUIRE_MESSAGE(spec.ok(), spec.error().text());
  auto it = halfsplit::board::build(*spec, shipped_library());
  REQUIRE_MESSAGE(it.ok(), it.error().text());
  return std::move(it).value();
}
