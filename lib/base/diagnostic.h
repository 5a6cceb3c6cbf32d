// What is wrong with something a person gave us: where it stands, what was found, what is wanted instead.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace noonfall {

/// A place in a text, counted from 1; line 0 means "no particular place".
struct Mark {
  int line = 0;
  int column = 0;
  bool operator==(const Mark&) const = default;
};

enum class Severity { error, warning };

/// One finding. `code` is a short stable word for scripts ("unknown-key"); `message` says what was found and
/// `hint` what is wanted, both in plain words without a closing full stop.
struct Diagnostic {
  Severity severity = Severity::error;
  std::string code;
  std::string file;         // as the user named it; empty for none
  Mark mark;                // line 0 for none
  std::string source_line;  // the line the mark points into, without its line end; empty for none
  std::string message;
  std::string hint;  // may be empty
  bool operator==(const Diagnostic&) const = default;
};

using Diagnostics = std::vector<Diagnostic>;

/// A finding in the making: its file and source line come later, from attach_source.
[[nodiscard]] Diagnostic error_at(Mark mark, std::string code, std::string message, std::string hint = {});
[[nodiscard]] Diagnostic warning_at(Mark mark, std::string code, std::string message, std::string hint = {});

[[nodiscard]] bool has_errors(const Diagnostics& findings);

/// In order of place, those without one first, what stands at the same place in the order given. Of more than
/// `most` (at least 1) only the first are kept, and a last finding, at the last one's place, tells how many
/// were left out.
[[nodiscard]] Diagnostics first_by_place(Diagnostics findings, std::size_t most);

/// Puts `more` behind `findings`.
void append(Diagnostics& findings, Diagnostics more);

/// Gives every finding its file name and the source line its mark points at.
/// `text` is the whole file; marks outside it are left without a line, a byte order mark isn't part of one.
void attach_source(Diagnostics& findings, std::string_view file, std::string_view text);

/// The finding as a person reads it, several lines, each ended by '\n':
///     plan.yaml:12:5: error: unknown key "untill"
///       12 |     untill: C2 - 60 s
///          |     ^
///       wanted: until
/// Each part is shown as plain_line has it, very long lines are cut around the mark.
/// "can't start it: no such file (wanted: the program)", without its place.
[[nodiscard]] std::string on_one_line(const Diagnostic& finding);
[[nodiscard]] std::string to_text(const Diagnostic& finding);
[[nodiscard]] std::string to_text(const Diagnostics& findings);

}  // namespace noonfall
