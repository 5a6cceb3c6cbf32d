#include "lib/base/diagnostic.h"

#include <algorithm>
#include <iterator>
#include <tuple>

#include <fmt/format.h>

#include "lib/base/code_points.h"
#include "lib/base/plain_text.h"

namespace noonfall {
namespace {

constexpr std::size_t shown_width = 100;

std::string_view line_of(std::string_view text, int line) {
  for (int n = 1; n < line; ++n) {
    const auto end = text.find('\n');
    if (end == std::string_view::npos) return {};
    text.remove_prefix(end + 1);
  }
  auto found = text.substr(0, text.find('\n'));
  if (found.ends_with('\r')) found.remove_suffix(1);
  return found;
}

/// Columns count code points; this is the byte at which a column starts.
std::size_t byte_of_column(std::string_view line, int column) {
  std::size_t byte = 0;
  for (int seen = 1; byte < line.size(); ++byte) {
    if (!continues_code_point(line[byte]) && seen++ == column) break;
  }
  return byte;
}

struct Excerpt {
  std::string text;
  std::size_t caret;  // code points before the caret
};

Excerpt excerpt(const Diagnostic& finding) {
  std::string_view line = finding.source_line;
  const auto byte = byte_of_column(line, finding.mark.column);
  std::size_t from = byte > shown_width ? byte - shown_width / 2 : 0;
  while (from > 0 && continues_code_point(line[from])) --from;
  const auto shown = line.substr(from, from > 0 || line.size() > 2 * shown_width ? shown_width : line.npos);
  return {plain_line(shown), code_points(plain_line(line.substr(from, byte - from)))};
}

std::string place(const Diagnostic& finding) {
  if (finding.mark.line == 0) return finding.file.empty() ? "" : plain_line(finding.file) + ": ";
  return fmt::format("{}:{}:{}: ", plain_line(finding.file), finding.mark.line, finding.mark.column);
}

}  // namespace

Diagnostic error_at(Mark mark, std::string code, std::string message, std::string hint) {
  return {.severity = Severity::error,
          .code = std::move(code),
          .file = {},
          .mark = mark,
          .source_line = {},
          .message = std::move(message),
          .hint = std::move(hint)};
}

Diagnostic warning_at(Mark mark, std::string code, std::string message, std::string hint) {
  auto finding = error_at(mark, std::move(code), std::move(message), std::move(hint));
  finding.severity = Severity::warning;
  return finding;
}

bool has_errors(const Diagnostics& findings) {
  return std::any_of(findings.begin(), findings.end(),
                     [](const Diagnostic& d) { return d.severity == Severity::error; });
}

Diagnostics first_by_place(Diagnostics findings, std::size_t most) {
  std::stable_sort(findings.begin(), findings.end(), [](const Diagnostic& a, const Diagnostic& b) {
    return std::tie(a.mark.line, a.mark.column) < std::tie(b.mark.line, b.mark.column);
  });
  if (findings.size() <= most) return findings;
  const auto left_out = findings.size() - most;
  findings.erase(findings.begin() + static_cast<std::ptrdiff_t>(most), findings.end());
  findings.push_back(error_at(findings.back().mark, "more-errors",
                              fmt::format("from here on, {} more errors aren't shown", left_out),
                              "the errors above mended first"));
  return findings;
}

void append(Diagnostics& findings, Diagnostics more) {
  std::move(more.begin(), more.end(), std::back_inserter(findings));
}

void attach_source(Diagnostics& findings, std::string_view file, std::string_view text) {
  if (text.starts_with(byte_order_mark)) text.remove_prefix(byte_order_mark.size());
  for (auto& finding : findings) {
    finding.file = file;
    if (finding.mark.line > 0) finding.source_line = line_of(text, finding.mark.line);
  }
}

std::string on_one_line(const Diagnostic& finding) {
  if (finding.hint.empty()) return finding.message;
  return fmt::format("{} (wanted: {})", finding.message, finding.hint);
}

std::string to_text(const Diagnostic& finding) {
  const char* word = finding.severity == Severity::error ? "error" : "warning";
  std::string out = fmt::format("{}{}: {}\n", place(finding), word, plain_line(finding.message));
  if (finding.mark.line > 0 && !finding.source_line.empty()) {
    const auto shown = excerpt(finding);
    out += fmt::format("{:>5} | {}\n      | {:>{}}\n", finding.mark.line, shown.text, "^", shown.caret + 1);
  }
  if (!finding.hint.empty()) out += fmt::format("  wanted: {}\n", plain_line(finding.hint));
  return out;
}

std::string to_text(const Diagnostics& findings) {
  std::string out;
  for (const auto& finding : findings) out += to_text(finding);
  return out;
}

}  // namespace noonfall
