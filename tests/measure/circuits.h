// tests/measure/circuits.h - invented circuits, typed as boards: what the electrical engine is measured on.
#pragma once
#include <string>
#include <vector>

#include "board/spec.h"

namespace halfsplit::measure {

struct Typed {
  std::string name, supplies, parts, nets;
};

inline std::string supply(const std::string& net, const std::string& volts) {
  return "\n[[supply]]\nnet = \"" + net + "\"\nvolts = " + volts + "\ntolerance = 0.05\nfrom = \"SUPPLY\"\n";
}
/// A supply that a regulator on the board makes.
inline std::string made(const std::string& net, const std::string& volts) { return "\n[[supply]]\nnet = \"" + net + "\"\nvolts = " + volts + "\ntolerance = 0.05\n"; }

inline const std::vector<Typed>& circuits() {
  static const std::vector<Typed> all{
      {"lamp-driver", supply("+5V", "5.0"),
       "R1 = \"resistor 10k\"\nR2 = \"resistor 22k\"\nR3 = \"resistor 330\"\nD1 = \"led\"\nQ1 = \"npn\"\nR4 = \"resistor 4.7k\"\nD2 = { type = \"diode-zener\", value = \"3V3\" }\n"
       "R5 = \"resistor 470\"\nC1 = \"capacitor-polarised 100u\"\nSW1 = \"switch\"\nR6 = \"resistor 1k\"\n",
       "\"+5V\" = \"R1.1 R3.1 R4.1 R5.1 C1.1 R6.1\"\n\"GND\" = \"R2.2 Q1.E D2.A C1.2 SW1.2\"\n\"DIV\" = \"R1.2 R2.1\"\n\"LIT\" = \"R3.2 D1.A\"\n\"COL\" = \"D1.K Q1.C\"\n\"BASE\" = \"R4.2 Q1.B\"\n"
       "\"REF\" = \"R5.2 D2.K\"\n\"SW\" = \"R6.2 SW1.1\"\n"},
      {"rails", supply("+9V", "9.0") + made("+5V", "5.0"),
       "F1 = { type = \"fuse\", value = \"1A\" }\nU1 = \"7805\"\nC1 = \"capacitor-polarised 470u\"\nC2 = \"capacitor 100n\"\nR1 = \"resistor 330\"\nD1 = \"led\"\nR2 = \"resistor 100\"\nR3 = \"resistor 1k\"\n"
       "D2 = { type = \"diode-zener\", value = \"6V2\" }\nU2 = \"7400 LS\"\nD3 = \"diode-rectifier\"\n",
       "\"+9V\" = \"F1.1\"\n\"RAW\" = \"F1.2 D3.A\"\n\"IN\" = \"D3.K U1.1 C1.1 R3.1\"\n\"+5V\" = \"U1.3 C2.1 R1.1 R2.1 U2.14\"\n\"GND\" = \"U1.2 C1.2 C2.2 D1.K R2.2 D2.A U2.7\"\n\"LIT\" = \"R1.2 D1.A\"\n"
       "\"REF\" = \"R3.2 D2.K U2.1\"\n\"OUT\" = \"U2.3 U2.2\"\n"},
      {"reset", supply("+5V", "5.0"),
       "R1 = \"resistor 10k\"\nC1 = \"capacitor-polarised 10u\"\nD1 = \"diode\"\nU1 = \"7414 LS\"\nSW1 = \"switch\"\nR2 = \"resistor 220\"\nQ1 = \"npn\"\nR3 = \"resistor 2.2k\"\nR4 = \"resistor 4.7k\"\n"
       "R5 = \"resistor 1k\"\nQ2 = \"pnp\"\nR6 = \"resistor 10k\"\n",
       "\"+5V\" = \"R1.1 D1.K U1.14 R4.1 R5.1 Q2.E\"\n\"GND\" = \"C1.2 U1.7 SW1.2 Q1.E R6.2\"\n\"RC\" = \"R1.2 C1.1 D1.A U1.1 R2.1\"\n\"KEY\" = \"R2.2 SW1.1\"\n\"RSTH\" = \"U1.2 U1.3 R3.1\"\n\"BASE\" = \"R3.2 Q1.B\"\n"
       "\"/RESET\" = \"U1.4 R4.2\"\n\"COL\" = \"Q1.C R5.2 Q2.B\"\n\"HOLD\" = \"Q2.C R6.1\"\n"},
      {"mixer", supply("+5V", "5.0") + supply("+12V", "12.0"),
       "U1 = \"74374 LS\"\nR1 = \"resistor 2k\"\nR2 = \"resistor 1k\"\nR3 = \"resistor 470\"\nR4 = \"resistor 220\"\nQ1 = \"npn\"\nR5 = \"resistor 75\"\nR6 = \"resistor 10k\"\nR7 = \"resistor 4.7k\"\nC1 = \"capacitor 100n\"\nQ2 = \"npn\"\n"
       "R8 = \"resistor 1k\"\nR9 = \"resistor 470\"\n",
       "\"+5V\" = \"U1.20 Q1.C\"\n\"+12V\" = \"R6.1 R8.1\"\n\"GND\" = \"U1.10 R4.2 R5.2 R7.2 R9.2\"\n\"B0\" = \"U1.2 R1.1\"\n\"B1\" = \"U1.5 R2.1\"\n\"B2\" = \"U1.6 R3.1\"\n\"MIX\" = \"R1.2 R2.2 R3.2 R4.1 Q1.B C1.1\"\n"
       "\"VID\" = \"Q1.E R5.1\"\n\"BIAS\" = \"R6.2 R7.1 C1.2 Q2.B\"\n\"AC\" = \"R8.2 Q2.C\"\n\"AE\" = \"Q2.E R9.1\"\n"},
      {"switched", supply("+12V", "12.0") + supply("-12V", "-12.0") + supply("+5V", "5.0"),
       "Q1 = \"pnp-power\"\nR1 = \"resistor 1k\"\nR2 = \"resistor 4.7k\"\nQ2 = \"npn\"\nR3 = \"resistor 10k\"\nU1 = \"7406 TTL\"\nR4 = \"resistor 4.7k\"\nD1 = \"diode\"\nD2 = \"diode\"\nR5 = \"resistor 2.2k\"\nR6 = \"resistor 220\"\n"
       "R7 = \"resistor 10k\"\nD3 = { type = \"diode-zener\", value = \"5V1\" }\nR8 = \"resistor 680\"\n",
       "\"+12V\" = \"Q1.E R1.1 D1.A\"\n\"-12V\" = \"R7.2 R8.2\"\n\"+5V\" = \"U1.14 R4.1 D2.A\"\n\"GND\" = \"U1.7 Q2.E R6.2 D3.K\"\n\"PB\" = \"Q1.B R1.2 R2.1\"\n\"PC\" = \"R2.2 Q2.C\"\n\"NB\" = \"Q2.B R3.2\"\n\"ON\" = \"R3.1 R4.2 U1.2\"\n"
       "\"CMD\" = \"U1.1\"\n\"MOT\" = \"Q1.C R6.1\"\n\"OR\" = \"D1.K D2.K R5.1\"\n\"LOW\" = \"R5.2 R7.1\"\n\"NEG\" = \"D3.A R8.1\"\n"},
      {"bus", supply("+5V", "5.0"),
       "U1 = \"74244 LS\"\nU2 = \"7400 HC\"\nU3 = \"7438 LS\"\nRN1 = \"resistor-network-bussed/5 4.7k\"\nR1 = \"resistor 1k\"\nR2 = \"resistor 330\"\nU4 = \"7404 LS\"\nR3 = \"resistor 470\"\nQ1 = \"nfet\"\nR4 = \"resistor 10k\"\n",
       "\"+5V\" = \"U1.20 U2.14 U3.14 U4.14 RN1.1 R3.1 R4.1\"\n\"GND\" = \"U1.10 U2.7 U3.7 U4.7 R2.2 Q1.S\"\n\"A\" = \"U1.18 U4.2 RN1.2 U2.1\"\n\"B\" = \"U1.16 U2.2 R1.1\"\n\"C\" = \"R1.2 R2.1 U2.3\"\n\"OC\" = \"U3.3 RN1.3 U4.1\"\n"
       "\"D\" = \"U1.2 RN1.4\"\n\"E\" = \"U3.1 RN1.5\"\n\"G\" = \"U2.6 Q1.G\"\n\"DR\" = \"Q1.D R3.2 U2.4\"\n\"F\" = \"R4.2 U2.5\"\n"},
  };
  return all;
}

inline Result<std::shared_ptr<const board::Machine>> build(const Typed& typed, std::shared_ptr<const parts::Library> library) {
  board::SpecFiles files;
  files["machine.toml"] = "format = 1\nid = \"" + typed.name + "\"\ntitle = \"" + typed.name + "\"\n\n[[surrounding]]\nref = \"SUPPLY\"\ntype = \"supply-unit\"\n";
  files["board.toml"] = "format = 1\ntitle = \"" + typed.name + "\"\ngrounds = [\"GND\"]\n" + typed.supplies;
  files["parts.toml"] = "format = 1\n\n[parts]\n" + typed.parts;
  files["nets.toml"] = "format = 1\n\n[nets]\n" + typed.nets;
  const auto spec = board::parse_spec(files, typed.name);
  if (!spec.ok()) return spec.error();
  return board::build(*spec, std::move(library));
}

}  // namespace halfsplit::measure
