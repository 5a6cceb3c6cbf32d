#include "daemon/cli/limb_build.h"

#include <algorithm>
#include <filesystem>
#include <memory>
#include <ostream>

#include <fmt/format.h>
#include <CLI/CLI.hpp>
#include <boost/interprocess/file_mapping.hpp>
#include <boost/interprocess/mapped_region.hpp>

#include "daemon/cli/commands.h"
#include "daemon/command_line/within.h"
#include "daemon/load/limb_data.h"
#include "daemon/posix/text_file.h"
#include "lib/base/plain_text.h"
#include "lib/limb/elevation_image.h"

namespace noonfall::cli {
namespace {

namespace fs = std::filesystem;
namespace ipc = boost::interprocess;

std::string in_capitals(std::string text) {
  std::transform(text.begin(), text.end(), text.begin(),
                 [](char c) { return c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c; });
  return text;
}

/// LDEM_16.LBL or .lbl beside LDEM_16.IMG.
std::string label_beside(const std::string& image) {
  for (const auto* extension : {".LBL", ".lbl"}) {
    const auto path = fs::path{image}.replace_extension(extension);
    std::error_code ignored;
    if (fs::exists(path, ignored)) return path.string();
  }
  return {};
}

/// The folder strips are looked for in needn't be there before the first one; any other is the user's to
/// make.
void make_data_folder(const std::string& out) {
  const auto folder = fs::absolute(out).lexically_normal().parent_path();
  const auto known = load::limb_data_folders();
  const auto is_it = [&](const std::string& each) { return fs::path{each}.lexically_normal() == folder; };
  std::error_code ignored;  // writing says what is wrong
  if (std::any_of(known.begin(), known.end(), is_it)) fs::create_directories(folder, ignored);
}

class Build {
 public:
  Build(const LimbBuild& options, Context& context) : options_(options), context_(context) {}

  void operator()() {
    std::error_code ignored;
    if (fs::exists(options_.out, ignored))
      return refuse(Exit::environment, options_.out + " exists already; move it away or choose another name");
    if (!fs::exists(options_.image, ignored))
      return refuse(Exit::environment, fmt::format("can't read {}: no such file", options_.image));
    const auto label = read_label();
    if (!label || !image_fits(*label)) return;
    const auto strip = build(*label);
    if (!strip) return;
    make_data_folder(options_.out);
    const auto written = posix::write_text_file(options_.out, limb::to_bytes(*strip));
    if (!written) return refuse(Exit::environment, written.error());
    tell(*label, *strip);
  }

 private:
  void refuse(Exit exit, const std::string& line) {
    context_.err << "noonfall: " << plain_line(line) << '\n';
    context_.exit = exit;
  }
  void refuse(Exit exit, const Diagnostics& findings) {
    context_.err << to_text(findings);
    context_.exit = exit;
  }

  std::optional<limb::ElevationLabel> read_label() {
    constexpr std::size_t most_bytes = 1U << 20U;
    const auto path = options_.label.empty() ? label_beside(options_.image) : options_.label;
    if (path.empty()) {
      refuse(Exit::environment,
             fmt::format("no label lies beside {}; download it too, or name it with --label FILE.LBL",
                         options_.image));
      return std::nullopt;
    }
    const auto text = posix::read_text_file(path, most_bytes);
    if (!text) {
      refuse(Exit::environment, text.error());
      return std::nullopt;
    }
    auto label = limb::parse_elevation_label(*text);
    if (label) return *label;
    attach_source(label.error(), path, *text);
    refuse(Exit::work_has_errors, label.error());
    return std::nullopt;
  }

  bool image_fits(const limb::ElevationLabel& label) {
    std::error_code failed;
    const auto bytes = fs::file_size(options_.image, failed);
    const auto name = fs::path{options_.image}.filename().string();
    if (failed) {
      refuse(Exit::environment, fmt::format("can't read {}: {}", options_.image, failed.message()));
    } else if (!label.image_file.empty() && in_capitals(label.image_file) != in_capitals(name)) {
      refuse(Exit::work_has_errors,
             fmt::format("the label is that of {}, not of {}", label.image_file, name));
    } else if (bytes != label.image_bytes()) {
      refuse(Exit::work_has_errors,
             fmt::format("{} has {} bytes where its label describes {}: {}", options_.image, bytes,
                         label.image_bytes(),
                         bytes < label.image_bytes() ? "the download is incomplete" : "it is another image"));
    } else {
      return true;
    }
    return false;
  }

  /// The image is looked at where it lies: the fine ones are larger than many a memory.
  std::optional<limb::Strip> build(const limb::ElevationLabel& label) {
    try {
      const ipc::file_mapping file{options_.image.c_str(), ipc::read_only};
      const ipc::mapped_region region{file, ipc::read_only};
      const std::string_view bytes{static_cast<const char*>(region.get_address()), region.get_size()};
      auto strip = limb::build_strip(label, limb::ElevationImage{label, bytes});
      if (strip) return std::move(*strip);
      for (auto& each : strip.error()) each.file = options_.image;
      refuse(Exit::work_has_errors, strip.error());
    } catch (const ipc::interprocess_exception& error) {
      refuse(Exit::environment, fmt::format("can't read {}: {}", options_.image, error.what()));
    }
    return std::nullopt;
  }

  void tell(const limb::ElevationLabel& label, const limb::Strip& strip) {
    const auto [low, high] = std::minmax_element(strip.cells.begin(), strip.cells.end());
    const auto folders = load::limb_data_folders();
    context_.out << fmt::format(
        "{}: {} x {} heights from {} pixels a degree, {:+.2f} to {:+.2f} km.\n"
        "Used with --limb-data {}{}.\n",
        options_.out, strip.n_phi, strip.n_c, label.pixels_per_degree, strip.quantum_km * *low,
        strip.quantum_km * *high, options_.out,
        folders.empty() ? "" : fmt::format(", or by itself when it lies in {}", folders.front()));
    if (label.pixels_per_degree < 16)
      context_.out << "An image of 16 pixels a degree or more (LDEM_16) gives better rings and beads.\n";
  }

  const LimbBuild& options_;
  Context& context_;
};

}  // namespace

void build_limb(const LimbBuild& build, Context& context) {
  Build{build, context}();
}

void add_limb_command(CLI::App& app, Context& context) {
  auto* command = app.add_subcommand("limb", "Heights of the Moon's edge");
  command->require_subcommand(1);
  auto* build = command->add_subcommand("build", "Make a strip of lunar heights from a PDS elevation image");
  auto options = std::make_shared<LimbBuild>();
  build
      ->add_option("IMAGE", options->image,
                   "LDEM_4.IMG, LDEM_16.IMG or finer, of the LOLA gridded data records")
      ->required();
  build->add_option("--out", options->out, "The strip to write")
      ->required()
      ->type_name("FILE.llb")
      ->check(command_line::named());
  build->add_option("--label", options->label, "The image's PDS label; by default it lies beside it")
      ->type_name("FILE.LBL");
  build->callback([options, &context] { build_limb(*options, context); });
  add_limb_fetch(*command, context);
}

}  // namespace noonfall::cli
