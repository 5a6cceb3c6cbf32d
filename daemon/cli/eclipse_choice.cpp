#include "daemon/cli/eclipse_choice.h"

#include <vector>

#include <fmt/format.h>

#include "daemon/command_line/within.h"
#include "daemon/posix/text_file.h"
#include "lib/contacts/element_table.h"
#include "lib/contacts/parse_elements.h"

namespace noonfall::cli {
namespace {

using contacts::Elements;
template <class T>
using Chosen = tl::expected<T, EclipseRefusal>;

tl::unexpected<EclipseRefusal> refused(Exit exit, const std::string& line) {
  return tl::unexpected{EclipseRefusal{fmt::format("noonfall: {}\n", line), exit}};
}

tl::unexpected<EclipseRefusal> refused(Exit exit, const Diagnostics& findings) {
  return tl::unexpected{EclipseRefusal{to_text(findings), exit}};
}

Chosen<std::vector<Elements>> read_elements(const std::string& file) {
  if (file.empty()) {
    const auto built_in = contacts::built_in_elements();
    return std::vector<Elements>{built_in.begin(), built_in.end()};
  }
  const auto text = posix::read_text_file(file);
  if (!text) return refused(Exit::environment, text.error());
  auto table = contacts::parse_elements(*text, file);
  if (!table) return refused(Exit::work_has_errors, table.error());
  return std::move(*table);
}

std::string nearest_line(const std::vector<Elements>& table, Date date) {
  auto line = fmt::format("no solar eclipse on {} (UTC); nearest in the table:", to_text(date));
  const char* separator = " ";
  for (const auto near : contacts::nearest_eclipses(table, date, 3)) {
    line += fmt::format("{}{} ({})", separator, to_text(near), to_text(find_elements(table, near)->type));
    separator = ", ";
  }
  return line;
}

}  // namespace

void add_eclipse_options(CLI::App& command, EclipseRequest& request) {
  command.add_option("DATE", request.date, "UTC date of greatest eclipse, YYYY-MM-DD")->required();
  command.add_option("--dut1", request.dut1_s, "UT1-UTC from IERS Bulletin A")
      ->type_name("S")
      ->check(command_line::within(-0.9, 0.9));
  command
      .add_option("--elements", request.elements, "Besselian elements to use instead of the built-in ones")
      ->type_name("FILE")
      ->check(command_line::named());
}

Chosen<Elements> choose_eclipse(const EclipseRequest& request) {
  const auto table = read_elements(request.elements);
  if (!table) return tl::unexpected{table.error()};
  const auto date = parse_date(request.date);
  if (!date) {
    return refused(Exit::bad_command_line,
                   fmt::format("\"{}\" isn't a date; wanted YYYY-MM-DD", request.date));
  }
  const auto* found = contacts::find_elements(*table, *date);
  if (found == nullptr) return refused(Exit::work_has_errors, nearest_line(*table, *date));
  if (!found->delta_t || !request.dut1_s) return *found;
  return refused(
      Exit::bad_command_line,
      fmt::format("the elements bring their own Delta T ({:g} s), so --dut1 can't be used with them",
                  in_seconds(*found->delta_t)));
}

}  // namespace noonfall::cli
