// `check --sheet`: what a person needs at the tripod, on one page of paper.
#pragma once

#include <string>
#include <vector>

#include "lib/plan/plan.h"
#include "lib/time/zone.h"
#include "lib/timeline/timeline.h"

namespace noonfall::cli {

/// A heading with a table below it, or with lines, or both.
struct SheetPart {
  std::string heading;
  std::vector<std::string> head = {};  // of the table's columns
  std::vector<std::vector<std::string>> rows = {};
  std::vector<std::string> lines = {};
  bool to_tick = false;  // the lines are a checklist
};

struct FieldSheet {
  std::string title;
  std::string about;
  std::vector<std::string> safety;
  std::vector<SheetPart> parts;
};

/// Contacts, filter times, when hands are needed and where to point, settings to make by hand, a checklist.
/// The plan, with the same rigs, tells what lenses they have.
[[nodiscard]] FieldSheet field_sheet(const timeline::Timeline& timeline, const plan::Plan& plan,
                                     const LocalClock& local);

/// Aligned, lines ended by '\n'.
[[nodiscard]] std::string to_text(const FieldSheet& sheet);
/// A whole page that prints on one side of A4; all words escaped.
[[nodiscard]] std::string to_html(const FieldSheet& sheet);

}  // namespace noonfall::cli
