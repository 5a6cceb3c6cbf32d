#include "daemon/pictures/frames.h"

#include <algorithm>
#include <filesystem>
#include <map>
#include <mutex>

#include <fmt/format.h>

#include "daemon/pictures/each_of.h"
#include "daemon/pictures/photograph.h"
#include "daemon/pictures/tiff.h"
#include "daemon/posix/text_file.h"
#include "lib/base/plain_text.h"
#include "sim/sky/stack.h"

namespace noonfall::pictures {
namespace {

namespace fs = std::filesystem;

/// A name that stays in its folder.
std::string folder_name(std::string name) {
  for (auto& c : name)
    if (c == '/') c = '-';
  return name.starts_with('.') ? "_" + name : name;
}

std::string path_in_folder(const PlannedPicture& frame, Form form) {
  return folder_name(frame.rig) + "/" + folder_name(frame.file) + (form == Form::jpeg ? ".JPG" : ".TIF");
}

sim::Exposed exposed_of(const PlannedPicture& frame, const sim::Scene& scene, const sim::Corona& corona) {
  return sim::exposed(sim::radiance(scene, corona, frame.imager, frame.shooting), frame.imager,
                      frame.shooting);
}

std::string jpeg_of(const PlannedPicture& frame, const sim::Exposed& picture) {
  ExifFacts facts;
  facts.maker = "noonfall";
  facts.model = "simulated " + frame.body;
  facts.serial = simulated_serial(frame.rig);
  facts.description = fmt::format("{} {}.{}, {}: no photograph, but a rehearsal's idea of one", frame.step,
                                  frame.set, frame.frame, frame.rig);
  facts.clock = frame.shooting.opened;
  facts.exposure = frame.shooting.exposure;
  facts.focal_length = frame.imager.focal_length;
  facts.width = picture.width;
  facts.height = picture.height;
  return with_exif(to_jpeg(sim::to_srgb(picture), picture.width, picture.height), facts);
}

/// Black taken off, white at the end of 16 bits.
std::vector<std::uint16_t> linear_of(const sim::Exposed& picture) {
  std::vector<std::uint16_t> out;
  constexpr int range = sim::Exposed::white - sim::Exposed::black;
  for (const int count : picture.counts)
    out.push_back(static_cast<std::uint16_t>(std::max(0, count - sim::Exposed::black) * 65'535 / range));
  return out;
}

Result<void> write_frame(const std::string& path, const PlannedPicture& frame, const sim::Exposed& picture,
                         Form form) {
  if (form == Form::tiff) return write_tiff(path, linear_of(picture), picture.width, picture.height);
  return posix::write_text_file(path, jpeg_of(frame, picture));
}

/// What is full shows red, what is black blue, by filters of the page alone.
constexpr std::string_view page_head = R"(<!doctype html>
<meta charset="utf-8"><title>A rehearsal's frames</title>
<style>
body { background: #222; color: #ddd; font: 14px sans-serif; margin: 1em }
figure { display: inline-block; margin: 4px; width: 240px; vertical-align: top }
img { width: 240px; display: block } figcaption { font-size: 12px }
#clipped:checked ~ section img { filter: url(#marks) }
</style>
<svg width="0" height="0" style="position: absolute"><filter id="marks" color-interpolation-filters="sRGB">
<feColorMatrix in="SourceGraphic" values="0 1 0 0 0  0 1 0 0 0  0 1 0 0 0  0 0 0 1 0" result="grey"/>
<feComponentTransfer in="grey" result="over"><feFuncR type="discrete" tableValues="0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 1"/><feFuncG type="discrete" tableValues="0"/><feFuncB type="discrete" tableValues="1 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 0"/></feComponentTransfer>
<feColorMatrix in="over" values="1 0 0 0 0  0 1 0 0 0  0 0 1 0 0  1 0 1 0 0" result="marks"/>
<feMerge><feMergeNode in="grey"/><feMergeNode in="marks"/></feMerge></filter></svg>
<h1>A rehearsal's frames</h1>
<input type="checkbox" id="clipped"><label for="clipped"> Show what is full in red, what is black in blue</label>
)";

std::string sheet_of(const std::vector<PlannedPicture>& frames, Form form) {
  std::string out{page_head};
  const PlannedPicture* before = nullptr;
  for (const auto& frame : frames) {
    if (before == nullptr || before->step != frame.step || before->rig != frame.rig)
      out += fmt::format("{}<section><h2>{}, {}</h2>\n", before == nullptr ? "" : "</section>\n",
                         markup_text(frame.step), markup_text(frame.rig));
    const auto path = markup_text(path_in_folder(frame, form));
    out += fmt::format(
        "<figure><a href=\"{0}\"><img loading=\"lazy\" src=\"{0}\" alt=\"\"></a><figcaption>{1}.{2}, "
        "{3}<br>{4}</figcaption></figure>\n",
        path, frame.set, frame.frame, markup_text(frame.relative),
        markup_text(to_text(frame.shooting.exposure)));
    before = &frame;
  }
  return out + (before == nullptr ? "" : "</section>\n");
}

Result<void> make_folders(const std::string& folder, const std::vector<PlannedPicture>& frames) {
  std::error_code error;
  fs::create_directories(folder, error);
  if (!error && !fs::is_empty(folder, error) && !error)
    return fail(
        error_at({}, "file", fmt::format("{} isn't empty", folder), "a new or empty folder for the frames"));
  for (const auto& frame : frames)
    if (!error) fs::create_directories(fs::path{folder} / folder_name(frame.rig), error);
  if (error) return fail(error_at({}, "file", fmt::format("can't make {}: {}", folder, error.message())));
  return {};
}

/// Frames of one exposure of one step.
struct Pile {
  exposure::Exposure exposure;
  std::vector<const PlannedPicture*> frames;
};
/// A step's, and what is being made of them.
struct Ladder {
  std::string path;  // but for its ending
  std::vector<Pile> piles;
  sim::Joined joined = {};
  std::size_t done = 0;
};

std::vector<Ladder> ladders_of(const std::string& folder, const std::vector<PlannedPicture>& frames) {
  std::map<std::string, Ladder> by_path;
  for (const auto& frame : frames) {
    if (frame.shooting.density > 0) continue;  // half an hour of the Moon's way is no one picture
    const auto path = fmt::format("{}/{}/stack {}", folder, folder_name(frame.rig), folder_name(frame.step));
    auto& ladder = by_path.try_emplace(path, Ladder{path, {}}).first->second;
    auto pile = std::find_if(ladder.piles.begin(), ladder.piles.end(),
                             [&](const Pile& each) { return each.exposure == frame.shooting.exposure; });
    if (pile == ladder.piles.end()) pile = ladder.piles.insert(pile, {frame.shooting.exposure, {}});
    pile->frames.push_back(&frame);
  }
  std::vector<Ladder> out;
  for (auto& [path, ladder] : by_path)
    if (ladder.piles.size() > 1) out.push_back(std::move(ladder));
  return out;
}

}  // namespace

std::string simulated_serial(std::string_view rig) {
  return fmt::format("rehearsal {}", rig);
}

Result<void> write_frames(const std::string& folder, const sim::Scene& scene, std::uint64_t seed,
                          const std::vector<PlannedPicture>& frames, Form form, unsigned threads,
                          const std::function<void(int)>& progress) {
  if (auto made = make_folders(folder, frames); !made) return made;
  const sim::Corona corona{seed};
  const auto one = [&](std::size_t n) {
    return write_frame(folder + "/" + path_in_folder(frames[n], form), frames[n],
                       exposed_of(frames[n], scene, corona), form);
  };
  if (auto written = each_of(frames.size(), threads, one, progress); !written) return written;
  return posix::write_text_file(folder + "/sheet.html", sheet_of(frames, form));
}

Result<void> write_stacks(const std::string& folder, const sim::Scene& scene, std::uint64_t seed,
                          const std::vector<PlannedPicture>& frames, unsigned threads,
                          const std::function<void(int)>& progress) {
  const sim::Corona corona{seed};
  auto ladders = ladders_of(folder, frames);
  std::vector<std::pair<Ladder*, const Pile*>> piles;
  for (auto& ladder : ladders)
    for (const auto& pile : ladder.piles) piles.emplace_back(&ladder, &pile);
  std::mutex joining;
  const auto one = [&](std::size_t n) -> Result<void> {
    auto& [ladder, pile] = piles[n];
    const auto& imager = pile->frames.front()->imager;
    sim::Stack stack{imager, pile->exposure};
    for (const auto* frame : pile->frames) stack.add(exposed_of(*frame, scene, corona));
    const auto name = fmt::format("{} mean of {}, {}.tif", ladder->path, stack.frames(),
                                  folder_name(to_text(pile->exposure)));
    if (auto written = write_tiff(name, stack.mean(), imager.width, imager.height); !written) return written;
    const std::scoped_lock hold{joining};
    ladder->joined.add(stack);
    if (++ladder->done < ladder->piles.size()) return {};
    const auto joined = std::exchange(ladder->joined, {});
    return write_tiff(ladder->path + " joined.tif", joined.light(), imager.width, imager.height);
  };
  return each_of(piles.size(), threads, one, progress);
}

}  // namespace noonfall::pictures
