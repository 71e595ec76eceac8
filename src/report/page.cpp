#include "report/page.h"

#include <ostream>

#include "report/signal_path.h"

namespace halfsplit::report {
namespace {

constexpr char kStyle[] =
    "body{font:15px/1.45 sans-serif;color:#111;background:#fff;max-width:46em;margin:2em auto;padding:0 1em}"
    "h1{font-size:1.5em;margin:0}h2{font-size:1.1em;margin:1.6em 0 .4em;border-bottom:1px solid #999;padding-bottom:.15em}"
    ".below{color:#444;margin:.2em 0 1em}p{margin:.4em 0}ul{margin:.3em 0;padding-left:1.3em}"
    "table{border-collapse:collapse;width:100%;font-size:.9em;margin:.4em 0}th{text-align:left;border-bottom:1px solid #555}"
    "th,td{padding:.2em .7em .2em 0;vertical-align:top;overflow-wrap:anywhere}tr+tr td{border-top:1px solid #ddd}"
    "td:first-child{width:1%;white-space:nowrap;overflow-wrap:normal}.danger{border-left:4px solid #a00;padding-left:.6em;font-weight:bold}"
    "figure{margin:.8em 0}svg{max-width:100%;height:auto}figcaption{font-size:.85em;color:#444}"
    "@media print{body{margin:0;max-width:none;font-size:10.5pt}h2{break-after:avoid}tr,figure,.danger{break-inside:avoid}@page{margin:18mm}}";

void cells(std::ostream& out, const std::vector<std::string>& row, const char* tag) {
  out << "<tr>";
  for (const std::string& cell : row) out << '<' << tag << '>' << escaped(cell) << "</" << tag << '>';
  out << "</tr>\n";
}

void html(std::ostream& out, const Block& block) {
  switch (block.kind) {
    case Block::Kind::heading: out << "<h2>" << escaped(block.text) << "</h2>\n"; break;
    case Block::Kind::paragraph: out << "<p>" << escaped(block.text) << "</p>\n"; break;
    case Block::Kind::danger: out << "<p class=\"danger\">" << escaped(block.text) << "</p>\n"; break;
    case Block::Kind::drawing: out << "<figure>" << block.svg << "<figcaption>" << escaped(block.text) << "</figcaption></figure>\n"; break;
    case Block::Kind::list:
      out << "<ul>\n";
      for (const auto& row : block.rows) out << "<li>" << escaped(row.front()) << "</li>\n";
      out << "</ul>\n";
      break;
    case Block::Kind::table:
      out << "<table>\n<thead>";
      cells(out, block.rows.front(), "th");
      out << "</thead><tbody>\n";
      for (std::size_t i = 1; i < block.rows.size(); ++i) cells(out, block.rows[i], "td");
      out << "</tbody></table>\n";
      break;
  }
}

void markdown_row(std::ostream& out, const std::vector<std::string>& row) {
  out << '|';
  for (const std::string& cell : row) out << ' ' << markdown_text(cell) << " |";
  out << '\n';
}

void markdown(std::ostream& out, const Block& block) {
  switch (block.kind) {
    case Block::Kind::heading: out << "## " << markdown_text(block.text) << "\n\n"; break;
    case Block::Kind::paragraph: out << markdown_text(block.text) << "\n\n"; break;
    case Block::Kind::danger: out << "**" << markdown_text(block.text) << "**\n\n"; break;
    case Block::Kind::drawing: out << markdown_text(block.text) << "\n\n"; break;
    case Block::Kind::list:
      for (const auto& row : block.rows) out << "- " << markdown_text(row.front()) << '\n';
      out << '\n';
      break;
    case Block::Kind::table:
      markdown_row(out, block.rows.front());
      out << '|';
      for (std::size_t i = 0; i < block.rows.front().size(); ++i) out << " --- |";
      out << '\n';
      for (std::size_t i = 1; i < block.rows.size(); ++i) markdown_row(out, block.rows[i]);
      out << '\n';
      break;
  }
}

}  // namespace

void Page::heading(std::string text) { blocks.push_back({Block::Kind::heading, std::move(text), {}, {}}); }
void Page::paragraph(std::string text) { blocks.push_back({Block::Kind::paragraph, std::move(text), {}, {}}); }
void Page::danger(std::string text) { blocks.push_back({Block::Kind::danger, std::move(text), {}, {}}); }
void Page::list(const std::vector<std::string>& items) {
  Block block{Block::Kind::list, {}, {}, {}};
  for (const std::string& item : items) block.rows.push_back({item});
  if (!block.rows.empty()) blocks.push_back(std::move(block));
}
void Page::table(std::vector<std::vector<std::string>> rows) {
  if (rows.size() > 1) blocks.push_back({Block::Kind::table, {}, std::move(rows), {}});
}
void Page::drawing(std::string svg, std::string words) { blocks.push_back({Block::Kind::drawing, std::move(words), {}, std::move(svg)}); }

void write_markdown(std::ostream& out, const Page& page) {
  out << kPageMark << "\n# " << markdown_text(page.title) << "\n\n" << markdown_text(page.below) << "\n\n";
  for (const Block& block : page.blocks) markdown(out, block);
}

void write_html(std::ostream& out, const Page& page) {
  out << "<!DOCTYPE html>\n" << kPageMark << "\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" content=\"width=device-width,initial-scale=1\">\n";
  out << "<title>" << escaped(page.title) << "</title>\n<style>" << kStyle << "</style>\n</head>\n<body>\n<h1>" << escaped(page.title) << "</h1>\n<p class=\"below\">" << escaped(page.below) << "</p>\n";
  for (const Block& block : page.blocks) html(out, block);
  out << "</body>\n</html>\n";
}

std::string markdown_text(std::string_view text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    const bool mark = c == '\\' || c == '`' || c == '*' || c == '[' || c == '|' || (i == 0 && (c == '#' || c == '>' || c == '-' || c == '+'));
    if (c == '<') out += "&lt;";
    else if (c == '&') out += "&amp;";
    else if (static_cast<unsigned char>(c) < 0x20) out += ' ';
    else out += (mark ? std::string("\\") : std::string()) + c;
  }
  return out;
}

}  // namespace halfsplit::report
