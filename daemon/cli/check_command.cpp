#include "daemon/cli/commands.h"

#include <algorithm>
#include <chrono>
#include <memory>
#include <ostream>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <CLI/CLI.hpp>

#include "daemon/cli/contacts_output.h"
#include "daemon/cli/field_sheet.h"
#include "daemon/cli/timeline_json.h"
#include "daemon/cli/timeline_plot.h"
#include "daemon/load/plan_loading.h"
#include "daemon/load/time_zone.h"
#include "daemon/posix/text_file.h"
#include "lib/base/nearest_word.h"
#include "lib/base/plain_text.h"
#include "lib/timeline/print.h"

namespace noonfall::embedded {
std::string_view findings_md();
}  // namespace noonfall::embedded

namespace noonfall::cli {
namespace {

struct Options {
  std::string plan;
  std::string explain;
  std::string bodies;
  load::LimbRequest limb;
  std::string svg;
  std::string sheet;
  std::string ics;
  bool json = false;
  bool quiet = false;
};

std::string count_text(const Diagnostics& findings, Severity severity, std::string_view word) {
  const auto count = std::count_if(findings.begin(), findings.end(), [severity](const Diagnostic& finding) {
    return finding.severity == severity;
  });
  return fmt::format("{} {}{}", count, word, count == 1 ? "" : "s");
}

/// The codes there are, for --explain.
std::string codes_text(const Diagnostics& findings) {
  std::set<std::string> codes;
  for (const auto& finding : findings) codes.insert(finding.code);
  if (codes.empty()) return {};
  return fmt::format("`noonfall check --explain CODE` says why: {}\n", fmt::join(codes, ", "));
}

std::string verdict(const load::LoadedPlan& loaded) {
  const auto warnings = count_text(loaded.findings, Severity::warning, "warning");
  if (!loaded.timeline) {
    return fmt::format("{}, {}: the plan can't be shot as written\n",
                       count_text(loaded.findings, Severity::error, "error"), warnings);
  }
  const auto edge =
      loaded.basis.limb == contacts::Limb::profile
          ? fmt::format("C2 and C3 with the lunar limb profile from {}\n", loaded.basis.limb_file)
          : std::string{"C2 and C3 are of the mean limb, a Moon without mountains\n"};
  return edge + fmt::format("This plan can be shot: {} frames planned, {}\n",
                            loaded.timeline->predicted_frames(), warnings);
}

/// The part of docs/findings.md that is about the code.
void explain(const std::string& code, Context& context) {
  const auto page = embedded::findings_md();
  std::vector<std::string_view> codes;
  std::string_view found;
  for (auto at = page.find("\n## "); at != std::string_view::npos;) {
    const auto next = page.find("\n## ", at + 1);
    const auto part = page.substr(at + 4, next - at - 4);
    codes.push_back(part.substr(0, part.find('\n')));
    if (codes.back() == code) found = part;
    at = next;
  }
  if (!found.empty()) {
    context.out << found;
    return;
  }
  const auto nearest = nearest_word(code, codes);
  context.err << fmt::format("noonfall: no finding has the code \"{}\"; wanted {}\n", plain_line(code),
                             nearest.empty() ? "one that a check printed" : nearest);
  context.exit = Exit::bad_command_line;
}

/// False after saying why it can't be written.
bool write(const std::string& path, const std::string& text, Context& context) {
  const auto written = posix::write_text_file(path, text);
  if (written) return true;
  context.err << to_text(written.error());
  context.exit = Exit::environment;
  return false;
}

/// The files asked for, of a plan that can be shot; false when one can't be written.
bool write_files(const Options& options, const load::LoadedPlan& loaded, Context& context) {
  const auto local = load::local_clock(loaded.timeline->zone);
  if (!options.svg.empty() && !write(options.svg, timeline_svg(*loaded.timeline, local), context))
    return false;
  const auto now = std::chrono::time_point_cast<Duration>(std::chrono::system_clock::now());
  if (!options.ics.empty() &&
      !write(options.ics, contacts_ics(*loaded.circumstances, Utc{now}, loaded.timeline->cues), context))
    return false;
  if (options.sheet.empty()) return true;
  const auto sheet = field_sheet(*loaded.timeline, *loaded.plan, local);
  return write(options.sheet, options.sheet.ends_with(".txt") ? to_text(sheet) : to_html(sheet), context);
}

/// By its name a sheet is a page or plain text.
CLI::Validator page_or_text() {
  return {[](std::string& name) {
            const bool known = name.ends_with(".html") || name.ends_with(".txt");
            return known ? std::string{} : fmt::format("\"{}\" ends neither in .html nor in .txt", name);
          },
          ""};
}

void check(const Options& options, Context& context) {
  if (!options.explain.empty()) return explain(options.explain, context);
  if (options.plan.empty()) {
    context.err << "noonfall: check needs a PLAN, or --explain CODE\n";
    context.exit = Exit::bad_command_line;
    return;
  }
  const auto loaded = load::load_plan({options.plan,
                                       options.bodies,
                                       context.leap_seconds,
                                       {},
                                       timeline::Strictness::plan_check,
                                       {},
                                       options.limb});
  context.exit = loaded.exit;
  if (loaded.timeline && !write_files(options, loaded, context)) return;
  if (options.json) {
    context.out << check_json(loaded);
    return;
  }
  context.err << to_text(loaded.findings);
  if (!loaded.plan && loaded.exit != Exit::work_has_errors) return;
  if (options.quiet) return;
  if (loaded.timeline)
    context.out << timeline::to_text(*loaded.timeline, load::local_clock(loaded.timeline->zone)) << '\n';
  context.out << verdict(loaded) << codes_text(loaded.findings);
}

}  // namespace

void add_check_command(CLI::App& app, Context& context) {
  auto* command = app.add_subcommand("check", "Can this plan be shot as written; what happens when");
  auto options = std::make_shared<Options>();
  command->add_option("PLAN", options->plan, "The plan's YAML file");
  command
      ->add_option("--explain", options->explain, "Say why there is a finding of this code, with an example")
      ->type_name("CODE");
  command->add_option("--bodies", options->bodies, "A folder of further body profiles")->type_name("DIR");
  load::add_limb_options(*command, options->limb);
  command->add_option("--svg", options->svg, "Draw the plan on a sheet of A4 into this file")
      ->type_name("FILE");
  command
      ->add_option("--sheet", options->sheet,
                   "Write what to have at hand in the field, on one page: .html, or .txt")
      ->type_name("FILE")
      ->check(page_or_text());
  command->add_option("--ics", options->ics, "Write contacts and cues to a calendar file (RFC 5545)")
      ->type_name("FILE.ics");
  command->add_flag("--json", options->json, "One JSON object: errors, warnings, frames, timeline");
  command->add_flag("--quiet", options->quiet, "Findings only, no timeline");
  command->callback([options, &context] { check(*options, context); });
}

}  // namespace noonfall::cli
