#include "foreign_names.h"

#include <algorithm>
#include <array>
#include <cctype>

namespace hygiene {

namespace {

bool letter(char c) { return std::isalpha(static_cast<unsigned char>(c)) != 0; }
bool digit(char c) { return std::isdigit(static_cast<unsigned char>(c)) != 0; }

// Words that drawings of any computer use; a name put together from them points at no board.
constexpr std::array kTradeWords = {
    "ACK",     "ADDR",   "ADDRESS", "ADR",      "AK",     "AUDIO",    "AUX",     "BANK",   "BAUD",   "BIT",      "BLANK",  "BLUE",   "BOARD",
    "BUF",     "BUFFER", "BUS",     "BUSY",     "BYTE",   "CART",     "CAS",     "CASS",   "CASSETTE", "CE",     "CHAR",   "CHIP",   "CK",
    "CLEAR",   "CLK",    "CLOCK",   "CLR",      "COL",    "COLOR",    "COLOUR",  "COLUMN", "COMP",   "COMPUTER", "CONTROL", "COUNT", "CPU",
    "CRT",     "CS",     "CSYNC",   "CTL",      "CTRL",   "CTS",      "CUR",     "CURSOR", "DACK",   "DATA",     "DCD",    "DIR",    "DISK",
    "DISP",    "DISPLAY", "DOT",    "DRAM",     "DRQ",    "DSR",      "DTR",     "DUMP",   "EN",     "ENABLE",   "EPROM",  "ERROR",  "EXP",
    "EXPANSION", "EXT",  "FDC",     "FIELD",    "FLOPPY", "FRAME",    "GATE",    "GREEN",  "GROUND", "HALT",     "HBLANK", "HIGH",   "HOLD",
    "HORIZ",   "HSYNC",  "IN",      "INDEX",    "INPUT",  "INT",      "INTR",    "IO",     "IOR",    "IORQ",     "IOW",    "IRQ",    "JOY",
    "KBD",     "KEY",    "KEYBOARD", "KHZ",     "LATCH",  "LINE",     "LOAD",    "LOGIC",  "LOW",    "MAIN",     "MEM",    "MEMORY", "MHZ",
    "MISO",    "MODE",   "MONITOR", "MOSI",     "MOTOR",  "MREQ",     "MUX",     "NET",    "NMI",    "OE",       "OUT",    "OUTPUT", "PAGE",
    "PAPER",   "PARITY", "PHASE",   "PHI",      "PIXEL",  "PORT",     "POWER",   "PRINTER", "PROM",  "RAM",      "RAS",    "RD",     "READ",
    "READY",   "RED",    "REF",     "REFRESH",  "REG",    "REQ",      "RES",     "RESET",  "RFSH",   "ROM",      "ROW",    "RQ",     "RST",
    "RTS",     "RX",     "RXD",     "SCLK",     "SCREEN", "SCROLL",   "SCRL",    "SEL",    "SELECT", "SERIAL",   "SHIFT",  "SIG",    "SIGNAL",
    "SLCT",    "SOUND",  "SPEAKER", "SRAM",     "START",  "STATUS",   "STB",     "STOP",   "STROBE", "SUPPLY",   "SYNC",   "SYSTEM", "TAPE",
    "TEST",    "TEXT",   "TIMER",   "TX",       "TXD",    "UNIT",     "USER",    "VBLANK", "VCC",    "VDD",      "VDU",    "VERT",   "VGA",
    "VIDEO",   "VRAM",   "VSYNC",   "WAIT",     "WE",     "WR",       "WRITE",   "XTAL",   "ACTIVE", "LIGHT",    "PEN",    "HI",     "LO",
    "ST",      "ND",     "RD",      "TH",       "A",      "B",        "C",       "D",      "N",      "X",        "Y",      "Q",      "R",
    "G",       "V",      "H",       "MA",       "RA",     "DA",       "AD",      "DB",     "PA",     "PB",       "PC",     "PD",     "GD"};

/// True when a run of letters can be cut into trade words without rest.
bool cuts_into_words(std::string_view letters) {
  std::vector<bool> reachable(letters.size() + 1, false);
  reachable[0] = true;
  for (std::size_t from = 0; from < letters.size(); ++from) {
    if (!reachable[from]) continue;
    for (const std::string_view word : kTradeWords)
      if (begins(letters.substr(from), word)) reachable[from + word.size()] = true;
  }
  return reachable[letters.size()];
}

/// Without the marks of an active-low name ("~{RD}", "{slash}").
std::string plain(std::string name) {
  for (const std::string_view mark : {"{SLASH}", "~{", "~", "{", "}"})
    for (std::size_t at = name.find(mark); at != std::string::npos; at = name.find(mark)) name.erase(at, mark.size());
  return name;
}

std::string without_blanks(std::string_view text) {
  while (!text.empty() && std::isspace(static_cast<unsigned char>(text.back()))) text.remove_suffix(1);
  while (!text.empty() && std::isspace(static_cast<unsigned char>(text.front()))) text.remove_prefix(1);
  return std::string(text);
}

bool tool_made(std::string_view name) { return name.find_first_of("()") != std::string_view::npos || name.find("PAD") != std::string_view::npos; }

void add_net(const std::string& net, Names& names) {
  constexpr std::size_t kFewest = 6;
  if (tool_made(net)) return;
  const std::size_t slash = net.rfind('/');
  if (slash != std::string::npos && slash > 0 && net.front() == '/') names.insert(net);
  const std::string below = plain(slash == std::string::npos ? net : net.substr(slash + 1));
  if (below.size() >= kFewest && !generic(below)) names.insert(below);
}

void add_board(std::string_view path, Names& names) {
  constexpr std::size_t kFewest = 5;
  const std::string file = upper(path.substr(path.rfind('/') + 1));
  std::string word = file.substr(0, file.find_first_of("_-. "));
  while (!word.empty() && digit(word.back())) word.pop_back();
  if (word.size() >= kFewest && !generic(word)) names.insert(word);
}

bool is_netlist(std::string_view path) { return ends(path, ".ipc") || ends(path, ".356") || ends(path, ".nets.csv"); }

}  // namespace

bool generic(std::string_view name) {
  while (!name.empty()) {
    std::size_t length = 0;
    while (length < name.size() && letter(name[length])) ++length;
    if (!cuts_into_words(name.substr(0, length))) return false;
    name.remove_prefix(std::min(length + 1, name.size()));
  }
  return true;
}

Names nets_of(const File& netlist) {
  Names nets;
  for (const std::string_view line : lines_of(netlist.text)) {
    std::string name;
    if (ends(netlist.path, ".csv")) name = line.substr(0, line.find(','));
    else if (begins(line, "P  NNAME") && line.size() > 14) name = line.substr(14);
    else if (line.size() > 17 && digit(line[0]) && digit(line[1])) name = line.substr(3, 14);
    name = upper(without_blanks(name));
    if (!name.empty()) nets.insert(name);
  }
  return nets;
}

Names foreign_names(const std::vector<File>& netlists) {
  Names names;
  for (const File& file : netlists) {
    if (!is_netlist(file.path)) continue;
    add_board(file.path, names);
    for (const std::string& net : nets_of(file)) add_net(net, names);
  }
  return names;
}

std::vector<Complaint> foreign_complaints(const std::vector<File>& files, const Names& names) {
  const auto in_word = [](char c) { return letter(c) || digit(c) || c == '_'; };
  const auto holds = [&](const std::string& text, const std::string& name) {
    for (std::size_t at = text.find(name); at != std::string::npos; at = text.find(name, at + 1)) {
      // A digit may follow a board's name, and does on most; a letter or digit before "/SHEET" makes it another path.
      const bool fresh = at == 0 || !in_word(text[at - 1]);
      const std::size_t end = at + name.size();
      const bool whole = end == text.size() || !in_word(text[end]) || (letter(name.back()) && digit(text[end]));
      if (fresh && whole) return true;
    }
    return false;
  };
  std::vector<Complaint> out;
  for (const File& file : files) {
    const std::string path = upper(file.path), text = upper(file.text);
    for (const std::string& name : names) {
      if (holds(path, name)) out.push_back({file.path, 0, "is named after a foreign board or net: " + name});
      if (text.find(name) == std::string::npos || !holds(text, name)) continue;
      std::size_t number = 0;
      for (const std::string_view line : lines_of(text)) {
        ++number;
        if (holds(std::string(line), name)) out.push_back({file.path, number, "names a foreign board or net: " + name});
      }
    }
  }
  return out;
}

}  // namespace hygiene
