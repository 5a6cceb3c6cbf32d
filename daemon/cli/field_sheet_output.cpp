#include <algorithm>
#include <numeric>

#include <fmt/format.h>

#include "daemon/cli/field_sheet.h"
#include "daemon/cli/plot_frame.h"
#include "lib/base/code_points.h"
#include "lib/base/plain_text.h"

namespace noonfall::cli {
namespace {

constexpr std::string_view style = R"(@page { size: A4; margin: 12mm }
body { font: 13px/1.35 Helvetica, Arial, 'Liberation Sans', sans-serif; color: #111; max-width: 186mm; margin: 0 auto }
body.full { font-size: 11px }
body.crowded { font-size: 8.5px }
body.crowded td { padding-top: .05em; padding-bottom: .05em }
.pair { display: grid; grid-template-columns: 1.3fr 1fr; gap: 0 2em; align-items: start }
h1 { font-size: 1.7em; margin: 0 }
.about { margin: .2em 0 .7em; color: #444 }
.safety { border: 2px solid #111; padding: .5em .8em; margin: 0 }
.safety p { margin: .15em 0; font-weight: bold }
h2 { font-size: 1.1em; margin: 1.1em 0 .3em; border-bottom: 1.5px solid #111 }
table { border-collapse: collapse; width: 100% }
th { text-align: left; font-weight: normal; color: #555; padding: .15em .8em .15em 0 }
td { padding: .22em .8em .22em 0; border-top: 1px solid #ccc; vertical-align: top; font-variant-numeric: tabular-nums }
td:first-child, .pair td { white-space: nowrap }
.pair td, .pair th { padding-right: .6em }
@media screen { body { padding: 10mm } }
p.line { margin: .3em 0; color: #333 }
ul { list-style: none; margin: 0; padding: 0; columns: 2; column-gap: 2em }
li { padding: .2em 0 .2em 1.7em; text-indent: -1.7em; break-inside: avoid }
li::before { content: ""; display: inline-block; width: .85em; height: .85em; border: 1.3px solid #111; margin-right: .85em; vertical-align: -.1em }
)";

std::size_t rows_of(const FieldSheet& sheet) {
  return std::accumulate(
      sheet.parts.begin(), sheet.parts.end(), std::size_t{0}, [](std::size_t rows, const SheetPart& part) {
        return rows + part.rows.size() + (part.to_tick ? part.lines.size() / 2 : part.lines.size());
      });
}

/// The page's type grows smaller as it fills: a sheet in two pieces gets lost.
std::string_view crowding(const FieldSheet& sheet) {
  const auto rows = rows_of(sheet);
  return rows > 44 ? "crowded" : rows > 30 ? "full" : "";
}

std::string html_row(const std::vector<std::string>& cells, std::string_view tag) {
  std::string out = "<tr>";
  for (const auto& cell : cells) out += fmt::format("<{0}>{1}</{0}>", tag, escaped(cell));
  return out + "</tr>\n";
}

std::string html_part(const SheetPart& part) {
  auto out = fmt::format("<h2>{}</h2>\n", escaped(part.heading));
  if (!part.rows.empty()) {
    out += "<table>\n" + html_row(part.head, "th");
    for (const auto& row : part.rows) out += html_row(row, "td");
    out += "</table>\n";
  }
  if (part.to_tick) out += "<ul>\n";
  for (const auto& line : part.lines)
    out += fmt::format(fmt::runtime(part.to_tick ? "<li>{}</li>\n" : "<p class=\"line\">{}</p>\n"),
                       escaped(line));
  return out + (part.to_tick ? "</ul>\n" : "");
}

std::string text_row(const std::vector<std::string>& cells, const std::vector<std::size_t>& widths) {
  std::string out = " ";
  for (std::size_t n = 0; n < cells.size(); ++n) {
    const auto cell = plain_line(cells[n]);
    out += " " + cell + std::string(widths[n] - std::min(widths[n], code_points(cell)) + 1, ' ');
  }
  out.erase(out.find_last_not_of(' ') + 1);
  return out + "\n";
}

std::string text_part(const SheetPart& part) {
  std::string out = "\n" + part.heading + "\n";
  if (!part.rows.empty()) {
    std::vector<std::size_t> widths;
    for (const auto& head : part.head) widths.push_back(code_points(head));
    for (const auto& row : part.rows)
      for (std::size_t n = 0; n < row.size(); ++n)
        widths[n] = std::max(widths[n], code_points(plain_line(row[n])));
    out += text_row(part.head, widths);
    for (const auto& row : part.rows) out += text_row(row, widths);
  }
  for (const auto& line : part.lines) out += (part.to_tick ? "  [ ] " : "  ") + plain_line(line) + "\n";
  return out;
}

}  // namespace

std::string to_text(const FieldSheet& sheet) {
  auto out = plain_line(sheet.title) + "\n" + plain_line(sheet.about) + "\n\n";
  for (const auto& line : sheet.safety) out += "! " + line + "\n";
  for (const auto& part : sheet.parts) out += text_part(part);
  return out;
}

std::string to_html(const FieldSheet& sheet) {
  auto out = fmt::format(
      "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta "
      "charset=\"utf-8\"/>\n<title>{0}</title>\n<style>\n{1}</style>\n"
      "</head>\n<body class=\"{2}\">\n<h1>{0}</h1>\n<p class=\"about\">{3}</p>\n<div class=\"safety\">\n",
      escaped(sheet.title), style, crowding(sheet), escaped(sheet.about));
  for (const auto& line : sheet.safety) out += fmt::format("<p>{}</p>\n", escaped(line));
  out += "</div>\n";
  // The first two are narrow.
  for (std::size_t n = 0; n < sheet.parts.size(); ++n) {
    if (n == 0) out += "<div class=\"pair\">\n";
    out += "<div>\n" + html_part(sheet.parts[n]) + "</div>\n";
    if (n == 1) out += "</div>\n";
  }
  return out + "</body>\n</html>\n";
}

}  // namespace noonfall::cli
