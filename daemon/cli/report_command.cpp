#include <memory>
#include <ostream>
#include <string>
#include <vector>

#include <CLI/CLI.hpp>

#include "daemon/cli/commands.h"
#include "daemon/cli/log_files.h"
#include "daemon/load/time_zone.h"
#include "daemon/posix/text_file.h"
#include "lib/report/report.h"

namespace noonfall::cli {
namespace {

struct Options {
  std::vector<std::string> logs;
  std::string html;
  std::string csv;
  std::string json;
};

/// To a file, or with "-" to the screen; false when it can't be.
bool put(const std::string& path, const std::string& text, Context& context) {
  if (path == "-") {
    context.out << text;
    return true;
  }
  const auto written = posix::write_text_file(path, text);
  return written || refuse(written.error(), context);
}

void report(const Options& options, Context& context) {
  const auto logs = read_logs(options.logs, context);
  if (!logs) return;
  const auto summary = report::summarise(*logs);
  if (!summary) return;  // each of them has a plan
  const auto local = load::local_clock(summary->header.zone);
  if (options.html.empty() && options.csv.empty() && options.json.empty())
    context.out << report::to_text(*summary, local);
  if (!options.html.empty() && !put(options.html, report::to_html(*summary, local), context)) return;
  if (!options.csv.empty() && !put(options.csv, report::to_csv(*summary), context)) return;
  if (!options.json.empty() && !put(options.json, report::to_json(*summary), context)) return;
  if (summary->strayed()) context.exit = Exit::work_has_errors;
}

}  // namespace

void add_report_command(CLI::App& app, Context& context) {
  auto options = std::make_shared<Options>();
  auto* command = app.add_subcommand("report", "What a shot log says was taken, against what was planned");
  command->add_option("LOG", options->logs, "Shot logs of one run (shots.jsonl), in the order they were made")
      ->required();
  command
      ->add_option("--html", options->html, "Write it all as one page, to look at and to print, to this file")
      ->type_name("FILE");
  command
      ->add_option("--csv", options->csv,
                   "Write a table, one row a step and rig, to this file (- for the screen)")
      ->type_name("FILE");
  command->add_option("--json", options->json, "Write it all as one object to this file (- for the screen)")
      ->type_name("FILE");
  command->callback([options, &context] { report(*options, context); });
}

}  // namespace noonfall::cli
