// netlist/guess.h - what names tell: the volts of a rail, the role of a pin on a net, the job of a connector.
#pragma once
#include <optional>
#include <string>
#include <string_view>

namespace halfsplit::netlist {

bool names_ground(std::string_view net);
/// "+5V", "VCC", "5VD", "+12", "-5V": nominal volts.
std::optional<double> rail_volts(std::string_view net);
/// Role word for a pin of an unknown chip: by the name of its net ("clock" for CLK, "in" for /RESET, ...), else "io".
std::string role_for(std::string_view net);
/// What owners would call a connector: picture, sound, serial, cassette, disk; empty when nothing tells.
std::string job_of(std::string_view value, std::string_view footprint);
/// The same from the name of one net on it.
std::string job_of_net(std::string_view net);

}  // namespace halfsplit::netlist
