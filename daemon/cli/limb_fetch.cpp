#include <cstdlib>
#include <filesystem>
#include <memory>
#include <ostream>
#include <utility>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "daemon/cli/limb_build.h"
#include "daemon/cli/progress_line.h"
#include "daemon/command_line/within.h"
#include "daemon/load/download.h"
#include "daemon/load/limb_data.h"
#include "daemon/posix/text_file.h"
#include "lib/base/plain_text.h"
#include "lib/limb/elevation_image.h"

namespace noonfall::cli {
namespace {

namespace fs = std::filesystem;

/// Of the Geosciences Node of the Planetary Data System (from memory: not looked up when this was written).
constexpr const char* usual_address =
    "https://pds-geosciences.wustl.edu/lro/lro-l-lola-3-rdr-v1/lrolol_1xxx/data/lola_gdr/cylindrical/img/"
    "ldem_16.img";
constexpr std::size_t longest_label = 1U << 20U;
constexpr int megabyte = 1'000'000;

struct Options {
  std::string address = usual_address;
  std::string out;
  std::string keep;
};

std::string cache_folder() {
  const auto variable = [](const char* name) {
    const char* value = std::getenv(name);  // NOLINT(concurrency-mt-unsafe): nothing here sets variables
    return std::string{value == nullptr ? "" : value};
  };
  if (const auto cache = variable("XDG_CACHE_HOME"); cache.starts_with('/')) return cache + "/noonfall";
  return variable("HOME") + "/.cache/noonfall";
}

/// "…/ldem_16.lbl" of "…/ldem_16.img", in the same letters; empty for another ending.
std::string label_of(const std::string& image) {
  for (const auto& [is, becomes] : {std::pair{".img", ".lbl"}, std::pair{".IMG", ".LBL"}}) {
    if (image.ends_with(is)) return image.substr(0, image.size() - 4) + becomes;
  }
  return {};
}

class Fetch {
 public:
  Fetch(const Options& options, Context& context)
      : options_{options}, context_{context}, folder_{options.keep.empty() ? cache_folder() : options.keep} {}

  void operator()() {
    const auto label_address = label_of(options_.address);
    if (label_address.empty())
      return refuse(Exit::bad_command_line,
                    "the address of an image ends in .img or .IMG: " + options_.address);
    const auto out = out_file();
    std::error_code failed;
    if (fs::exists(out, failed))
      return refuse(Exit::environment, out + " exists already; move it away or choose another name");
    fs::create_directories(folder_, failed);
    const auto text = load::download_text(label_address, longest_label);
    if (!text) return give_up(text.error());
    const auto label = limb::parse_elevation_label(*text);
    if (!label) {
      auto findings = label.error();
      attach_source(findings, label_address, *text);
      context_.err << to_text(findings);
      context_.exit = Exit::work_has_errors;
      return;
    }
    if (fetch_image(label->image_bytes())) build(*text, label_address, out);
  }

 private:
  void refuse(Exit exit, const std::string& line) {
    context_.err << "noonfall: " << plain_line(line) << '\n';
    context_.exit = exit;
  }

  /// In one line, what a person can do where there is no web, or another one.
  void give_up(const Diagnostics& why) {
    refuse(Exit::environment,
           fmt::format("{}. By hand: download {} and {} beside it, then noonfall limb build {} --out {}",
                       why.front().message, options_.address, label_of(options_.address), name_of_image(),
                       out_file()));
  }

  [[nodiscard]] std::string out_file() const {
    const auto folders = load::limb_data_folders();
    return options_.out.empty() && !folders.empty() ? folders.front() + "/moon.llb" : options_.out;
  }
  [[nodiscard]] std::string name_of_image() const {
    return options_.address.substr(options_.address.rfind('/') + 1);
  }
  [[nodiscard]] std::string image() const { return (fs::path{folder_} / name_of_image()).string(); }

  bool fetch_image(std::uint64_t bytes) {
    ProgressLine progress{context_.err};
    const auto all = static_cast<int>(bytes / megabyte);
    const auto fetched =
        load::download_file(options_.address, image() + ".part", bytes, [&](std::uint64_t there) {
          progress.show(name_of_image(), static_cast<int>(there / megabyte), all, "megabytes");
        });
    progress.end();
    if (!fetched) give_up(fetched.error());
    return fetched.has_value();
  }

  void build(const std::string& label, const std::string& label_address, const std::string& out) {
    const auto label_file = fs::path{folder_} / label_address.substr(label_address.rfind('/') + 1);
    std::error_code failed;
    fs::rename(image() + ".part", image(), failed);
    if (failed) return refuse(Exit::environment, "can't write " + image() + ": " + failed.message());
    fs::remove(label_file, failed);
    if (const auto written = posix::write_text_file(label_file.string(), label); !written) {
      context_.err << to_text(written.error());
      context_.exit = Exit::environment;
      return;
    }
    build_limb({image(), label_file.string(), out}, context_);
    if (!options_.keep.empty()) return;
    fs::remove(image(), failed);
    fs::remove(label_file, failed);
  }

  const Options& options_;
  Context& context_;
  std::string folder_;
};

}  // namespace

void add_limb_fetch(CLI::App& limb, Context& context) {
  auto* fetch = limb.add_subcommand(
      "fetch", "Download an elevation image with its label and make the strip of it where noonfall looks");
  auto options = std::make_shared<Options>();
  fetch->add_option("ADDRESS", options->address, "Of the image (.img); its label (.lbl) lies beside it")
      ->capture_default_str();
  fetch->add_option("--out", options->out, "The strip to write; else moon.llb in the user's data folder")
      ->type_name("FILE.llb")
      ->check(command_line::named());
  fetch->add_option("--keep", options->keep, "A folder to keep image and label in")->type_name("FOLDER");
  fetch->callback([options, &context] { Fetch{*options, context}(); });
}

}  // namespace noonfall::cli
