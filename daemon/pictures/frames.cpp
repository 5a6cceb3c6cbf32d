#include "daemon/pictures/frames.h"

#include <atomic>
#include <filesystem>
#include <mutex>
#include <thread>

#include <fmt/format.h>

#include "daemon/pictures/photograph.h"
#include "daemon/posix/text_file.h"
#include "lib/base/plain_text.h"

namespace noonfall::pictures {
namespace {

namespace fs = std::filesystem;

/// A name that stays in its folder.
std::string folder_name(std::string name) {
  for (auto& c : name)
    if (c == '/') c = '-';
  return name.starts_with('.') ? "_" + name : name;
}

std::string path_in_folder(const PlannedPicture& frame) {
  return folder_name(frame.rig) + "/" + folder_name(frame.file) + ".JPG";
}

std::string picture_of(const PlannedPicture& frame, const sim::Scene& scene, const sim::Corona& corona) {
  const auto light = sim::radiance(scene, corona, frame.imager, frame.shooting);
  const auto shown = sim::to_srgb(sim::exposed(light, frame.imager, frame.shooting));
  ExifFacts facts;
  facts.maker = "noonfall";
  facts.model = "simulated " + frame.body;
  facts.serial = "rehearsal " + frame.rig;
  facts.description = fmt::format("{} {}.{}, {}: no photograph, but a rehearsal's idea of one", frame.step,
                                  frame.set, frame.frame, frame.rig);
  facts.clock = frame.shooting.opened;
  facts.exposure = frame.shooting.exposure;
  facts.focal_length = frame.imager.focal_length;
  facts.width = light.width;
  facts.height = light.height;
  return with_exif(to_jpeg(shown, light.width, light.height), facts);
}

std::string escaped(std::string_view text) {
  std::string out;
  for (const char c : plain_line(text)) {
    if (c == '<')
      out += "&lt;";
    else if (c == '&')
      out += "&amp;";
    else if (c == '"')
      out += "&quot;";
    else
      out += c;
  }
  return out;
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

std::string sheet_of(const std::vector<PlannedPicture>& frames) {
  std::string out{page_head};
  const PlannedPicture* before = nullptr;
  for (const auto& frame : frames) {
    if (before == nullptr || before->step != frame.step || before->rig != frame.rig)
      out += fmt::format("{}<section><h2>{}, {}</h2>\n", before == nullptr ? "" : "</section>\n",
                         escaped(frame.step), escaped(frame.rig));
    const auto path = escaped(path_in_folder(frame));
    out += fmt::format(
        "<figure><a href=\"{0}\"><img loading=\"lazy\" src=\"{0}\" alt=\"\"></a><figcaption>{1}.{2}, "
        "{3}<br>{4}</figcaption></figure>\n",
        path, frame.set, frame.frame, escaped(frame.relative), escaped(to_text(frame.shooting.exposure)));
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

}  // namespace

Result<void> write_frames(const std::string& folder, const sim::Scene& scene, std::uint64_t seed,
                          const std::vector<PlannedPicture>& frames, unsigned threads,
                          const std::function<void(int)>& progress) {
  if (auto made = make_folders(folder, frames); !made) return made;
  const sim::Corona corona{seed};
  std::atomic<std::size_t> next{0};
  std::atomic<int> done{0};
  std::mutex lock;
  Diagnostics troubles;
  const auto work = [&](const auto& after_each) {
    for (auto n = next++; n < frames.size(); n = next++) {
      const auto path = folder + "/" + path_in_folder(frames[n]);
      if (auto written = posix::write_text_file(path, picture_of(frames[n], scene, corona)); !written) {
        const std::scoped_lock hold{lock};
        append(troubles, std::move(written.error()));
        next = frames.size();  // a full disk stays full
      }
      ++done;
      after_each();
    }
  };
  std::vector<std::jthread> others;
  for (unsigned n = 1; n < threads; ++n) others.emplace_back([&] { work([] {}); });
  work([&] { progress(done); });
  others.clear();
  progress(done);
  if (!troubles.empty()) return fail(std::move(troubles));
  return posix::write_text_file(folder + "/sheet.html", sheet_of(frames));
}

}  // namespace noonfall::pictures
