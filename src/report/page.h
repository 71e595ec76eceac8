// report/page.h - a plain document of headings, paragraphs, lists, tables and drawings, written as Markdown or as one HTML page.
//
// Rules:    all text is taken as text: what would be a mark in Markdown or HTML is escaped by the writer. Only `svg` goes into the page as it is.
// Start at: Page, write_markdown(), write_html().
#pragma once
#include <iosfwd>
#include <string>
#include <string_view>
#include <vector>

namespace halfsplit::report {

struct Block {
  enum class Kind { heading, paragraph, danger, list, table, drawing };
  Kind kind = Kind::paragraph;
  std::string text;                             ///< heading, paragraph, danger; drawing: the same in words
  std::vector<std::vector<std::string>> rows;   ///< list: one cell each; table: the first row is the head
  std::string svg;                              ///< drawing: made by draw()
};
struct Page {
  std::string title, below;   ///< below: a line under the title
  std::vector<Block> blocks;
  void heading(std::string text);
  void paragraph(std::string text);
  void danger(std::string text);
  /// Nothing where there are no items or no rows behind the head.
  void list(const std::vector<std::string>& items);
  void table(std::vector<std::vector<std::string>> rows);
  void drawing(std::string svg, std::string words);
};
void write_markdown(std::ostream& out, const Page& page);
void write_html(std::ostream& out, const Page& page);

/// The first line of both, by which a file is known as written by us.
inline constexpr char kPageMark[] = "<!-- halfsplit report -->";
/// Text within Markdown: what would be taken as a mark is escaped.
std::string markdown_text(std::string_view text);

}  // namespace halfsplit::report
