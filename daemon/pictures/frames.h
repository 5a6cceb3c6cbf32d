// A rehearsal's frames as pictures in a folder, and a sheet to look through them.
#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "lib/base/result.h"
#include "sim/sky/exposed.h"

namespace noonfall::pictures {

/// One frame that a simulated body took.
struct PlannedPicture {
  std::string rig;
  std::string step;
  int set = 0;
  int frame = 0;
  std::string file;      // the body's name for it, without its folders and ending
  std::string body;      // the profile's name
  std::string relative;  // "C2 + 3.1 s"
  sim::Imager imager;
  sim::Shooting shooting;
};

/// In the files, and the log, of a rig's simulated body.
[[nodiscard]] std::string simulated_serial(std::string_view rig);

enum class Form { jpeg, tiff };  // tiff: 16 bits of the sensor's own light, not a screen's

/// Into `folder`/RIG/FILE.JPG or .TIF, with so many threads, and a page `sheet.html` of all. `progress` is
/// called on this thread. The folder must be new or empty.
[[nodiscard]] Result<void> write_frames(const std::string& folder, const sim::Scene& scene,
                                        std::uint64_t seed, const std::vector<PlannedPicture>& frames,
                                        Form form, unsigned threads,
                                        const std::function<void(int)>& progress);

/// Of each unfiltered step whose frames have several exposures: the plain mean of each exposure's, and all of
/// them joined, as TIFF of 32-bit numbers in `folder`/RIG.
[[nodiscard]] Result<void> write_stacks(const std::string& folder, const sim::Scene& scene,
                                        std::uint64_t seed, const std::vector<PlannedPicture>& frames,
                                        unsigned threads, const std::function<void(int)>& progress);

}  // namespace noonfall::pictures
