#include "daemon/cli/commands.h"

#include <memory>
#include <ostream>
#include <string>
#include <string_view>
#include <utility>

#include <CLI/CLI.hpp>

#include "daemon/load/time_zone.h"
#include "daemon/posix/text_file.h"
#include "lib/base/plain_text.h"
#include "lib/report/report.h"
#include "lib/shotlog/replay.h"

namespace noonfall::cli {
namespace {

struct Options {
  std::string log;
  std::string csv;
};

void report(const Options& options, Context& context) {
  shotlog::Replayer replayer;
  const auto read = posix::read_in_pieces(options.log, [&](std::string_view piece) {
    replayer.take(piece);
    return true;
  });
  if (!read) {
    context.err << to_text(read.error());
    context.exit = Exit::environment;
    return;
  }
  auto replayed = replayer.finish();
  attach_source(replayed.damage, options.log, "");
  // Of a file that is no log at all, every line is damaged: one word about the file says more.
  if (!replayed.lines.empty()) context.err << to_text(replayed.damage);
  const auto summary = report::summarise(replayed);
  if (!summary) {
    context.err << "error: " << plain_line(options.log) << " is no shot log: its first line isn't a header\n"
                << "  wanted: a file that noonfall rehearse --log or noonfalld wrote\n";
    context.exit = Exit::work_has_errors;
    return;
  }
  if (options.csv.empty()) {
    context.out << report::to_text(*summary, load::local_clock(summary->header.zone));
  } else if (options.csv == "-") {
    context.out << report::to_csv(*summary);
  } else if (const auto written = posix::write_text_file(options.csv, report::to_csv(*summary)); !written) {
    context.err << to_text(written.error());
    context.exit = Exit::environment;
    return;
  }
  if (!replayed.damage.empty() || summary->strayed()) context.exit = Exit::work_has_errors;
}

}  // namespace

void add_report_command(CLI::App& app, Context& context) {
  auto options = std::make_shared<Options>();
  auto* command = app.add_subcommand("report", "What a shot log says was taken, against what was planned");
  command->add_option("LOG", options->log, "A shot log (shots.jsonl)")->required();
  command->add_option("--csv", options->csv,
                      "Write a table, one row a step and rig, to this file (- for the screen)");
  command->callback([options, &context] { report(*options, context); });
}

}  // namespace noonfall::cli
