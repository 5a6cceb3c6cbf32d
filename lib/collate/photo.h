// What is brought together: photographs by what their files say, and shots by what the shot log says.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "lib/contacts/contact.h"
#include "lib/exposure/exposure.h"
#include "lib/shotlog/replay.h"
#include "lib/time/utc.h"

namespace noonfall::collate {

using namespace std::chrono_literals;

/// A path without its folders.
[[nodiscard]] std::string_view base_name(std::string_view path);

struct Photo {
  std::string file;          // its path
  std::string camera;        // maker's model and serial number, as far as the file has them
  std::optional<Utc> clock;  // the opening as the camera's clock had it, less the zone if one is named
  Duration grain{1s};        // the last digit of that
  std::optional<exposure::Shutter> shutter;
  std::optional<exposure::FNumber> aperture;
  std::optional<exposure::Iso> iso;
  std::string trouble;      // why the file says nothing; empty for one that does
  std::string serial = {};  // of the body
  bool operator==(const Photo&) const = default;

  [[nodiscard]] std::string_view name() const { return base_name(file); }
  /// "jpg": a raw file and a JPEG of one frame are each looked for.
  [[nodiscard]] std::string kind() const;
};

/// A frame that left a file, or may have.
struct Shot {
  shotlog::FrameName frame;
  std::string subject = {};
  Utc due;
  Utc opened;         // `due` of one that nothing came back of
  bool fired = true;  // and not only asked for
  exposure::Exposure exposure = {};
  std::vector<std::string> files = {};  // by their names on the card
  bool operator==(const Shot&) const = default;
};

/// The logs of one run, boiled down.
struct Logged {
  std::vector<Shot> shots;                      // by time
  std::vector<shotlog::FrameName> never_taken;  // of sets, skipped or cancelled
  std::map<std::string, std::string> serials;   // of rigs' bodies, where known
  std::string zone;                             // likewise
  contacts::Circumstances sky;  // as much as names an instant: the contacts of the plan last in force
};

/// Copies of a log, its continuation and those of other machines are put together. What one of them knows a
/// frame to have become is believed before what another lacks.
[[nodiscard]] Logged logged(const std::vector<shotlog::Replayed>& logs);

/// Rigs by cameras, as far as a body's serial number is one of the log's.
[[nodiscard]] std::map<std::string, std::string> rigs_by_serial(const Logged& log,
                                                                const std::vector<Photo>& photos);

}  // namespace noonfall::collate
