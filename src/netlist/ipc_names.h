// netlist/ipc_names.h - what stands in a record's fields for a longer name: aliases of nets, keys of references and pins.
#pragma once
#include <string>
#include <string_view>
#include <unordered_map>

#include "netlist/assemble.h"

namespace halfsplit::netlist {

class IpcNames {
 public:
  explicit IpcNames(Deviations& deviations) : deviations_(deviations) {}
  /// "NNAME00012" or "NNAME1" and what follows, from a P or a C line.
  void define_alias(std::string_view word, std::string_view rest, bool in_comment, std::size_t line);
  void define_ref(std::string_view key, std::string_view name) { refs_.emplace(key, name); }
  void define_pin(std::string_view ref, std::string_view key, std::string_view name);

  /// The net of a record's field; unknown for blank and N/C. Counts aliases that nobody defined.
  NetIndex net(std::string_view field, std::size_t line, Assembler& assembler);
  /// The net when it exists already, for neighbour lists.
  std::optional<NetIndex> find(std::string_view field, const Assembler& assembler) const;
  std::string ref(std::string_view field) const;
  std::string pin(std::string_view ref_field, std::string_view field) const;
  bool ref_is_key(std::string_view field) const { return refs_.count(std::string(field)) != 0; }

 private:
  struct Alias {
    std::string name;
    bool bare = false;  ///< records may leave NNAME out
  };
  /// The key in `aliases_`, or nothing when the field is a plain name.
  std::optional<std::string> alias_key(std::string_view field) const;

  Deviations& deviations_;
  std::unordered_map<std::string, Alias> aliases_;
  std::unordered_map<std::string, std::string> key_of_name_;
  std::unordered_map<std::string, std::string> refs_, pins_;
};

bool means_no_net(std::string_view field);

}  // namespace halfsplit::netlist
