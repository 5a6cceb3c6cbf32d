#include <algorithm>
#include <filesystem>
#include <memory>
#include <ostream>
#include <thread>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "daemon/cli/commands.h"
#include "daemon/cli/log_files.h"
#include "daemon/cli/progress_line.h"
#include "daemon/load/time_zone.h"
#include "daemon/pictures/photo_files.h"
#include "daemon/pictures/read_photo.h"
#include "daemon/pictures/sidecar.h"
#include "daemon/posix/text_file.h"
#include "lib/collate/manifest.h"

namespace noonfall::cli {
namespace {

struct Options {
  std::vector<std::string> logs;
  std::vector<std::string> photos;
  std::vector<std::string> manifests;
  bool sidecars = false;
  std::string sort;
};

bool has_ending(const std::string& path, std::string_view ending) {
  return path.size() > ending.size() && path.ends_with(ending);
}

/// Whether it could be written.
bool write_manifest(const collate::Collation& all, const std::string& path, Context& context) {
  const auto text = has_ending(path, ".json") ? collate::to_json(all) : collate::to_csv(all);
  const auto written = posix::write_text_file(path, text);
  return written || refuse(written.error(), context);
}

void tell(Context& context, const std::string& made, int there) {
  const auto kept = there == 0 ? "" : fmt::format(", {} were there already and stay as they are", there);
  context.out << fmt::format("\n{}{}.\n", made, kept);
}

bool write_sidecars(const collate::Collation& all, Context& context) {
  int made = 0;
  int there = 0;
  for (const auto& row : all.rows) {
    if (!row.photo || row.status == collate::Status::unreadable) continue;
    const auto path = all.photos[*row.photo].file + ".xmp";
    if (std::filesystem::exists(std::filesystem::symlink_status(path))) {
      ++there;
      continue;
    }
    const auto written = posix::write_text_file(path, pictures::to_xmp(all, row));
    if (!written) return refuse(written.error(), context);
    ++made;
  }
  tell(context, fmt::format("{} sidecars written", made), there);
  return true;
}

bool sort_into(const std::string& tree, const collate::Collation& all, Context& context) {
  int made = 0;
  int there = 0;
  for (const auto& row : all.rows) {
    const auto place = collate::place_in_tree(all, row);
    if (place.empty()) continue;
    const auto linked = pictures::link_photo(all.photos[*row.photo].file, tree, place);
    if (!linked) return refuse(linked.error(), context);
    ++(*linked ? made : there);
  }
  tell(context, fmt::format("{} links made in {}", made, tree), there);
  return true;
}

std::vector<collate::Photo> read_photos(const std::vector<std::string>& files, Context& context) {
  ProgressLine line{context.err};
  constexpr int between = 50;
  const auto of = static_cast<int>(files.size());
  int next = between;
  const auto show = [&](int done) {
    if (done < next || done == of) return;
    line.show("reading", done, of, "files");
    next = done + between;
  };
  auto photos = pictures::read_photos(files, std::max(1U, std::thread::hardware_concurrency()), show);
  line.show("read", of, of, "files");
  line.end();
  return photos;
}

void collate_photos(const Options& options, Context& context) {
  const auto logs = read_logs(options.logs, context);
  if (!logs) return;
  const auto files = pictures::photo_files(options.photos);
  if (!files) {
    refuse(files.error(), context);
    return;
  }
  const auto all = collate::collate(collate::logged(*logs), read_photos(*files, context));
  context.out << collate::to_text(all, load::local_clock(all.log.zone));
  for (const auto& path : options.manifests)
    if (!write_manifest(all, path, context)) return;
  if (options.sidecars && !write_sidecars(all, context)) return;
  if (!options.sort.empty() && !sort_into(options.sort, all, context)) return;
}

}  // namespace

void add_collate_command(CLI::App& app, Context& context) {
  auto options = std::make_shared<Options>();
  auto* command =
      app.add_subcommand("collate", "Which photograph is which frame of a shot log, and what is missing");
  command->add_option("LOG", options->logs, "Shot logs of one run (shots.jsonl)")->required();
  command->add_option("--photos", options->photos, "Photographs, or folders of them")
      ->required()
      ->type_name("DIR|FILE");
  command
      ->add_option("--manifest", options->manifests, "Write every file and every missing frame to this file")
      ->type_name("FILE.csv|.json")
      ->check([](const std::string& path) {
        return has_ending(path, ".csv") || has_ending(path, ".json")
                   ? std::string{}
                   : "\"" + path + "\" ends neither with .csv nor with .json";
      });
  command->add_flag("--sidecars", options->sidecars, "Write beside each photograph what it is (FILE.xmp)");
  command
      ->add_option("--sort", options->sort,
                   "Make links to the photographs in this folder, by step and bracket")
      ->type_name("DIR");
  command->callback([options, &context] { collate_photos(*options, context); });
}

}  // namespace noonfall::cli
