// Photographs matched to the frames of a shot log, and what became of every bracket.
#pragma once

#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "lib/collate/photo.h"

namespace noonfall::collate {

enum class Status {
  matched,
  by_hand,     // a picture that nobody ordered
  doubtful,    // `shot` is a guess: more than one would do, its settings differ, or it is a copy
  unreadable,  // no photograph, or one that doesn't tell its time
  missing,     // a frame that was shot and has no file
};
[[nodiscard]] std::string_view to_text(Status status);

/// One for each photograph, and one for each frame without any.
struct Row {
  Status status = Status::matched;
  std::optional<std::size_t> photo = {};  // index into `photos`
  std::optional<std::size_t> shot = {};   // index into `log.shots`
  std::optional<Utc> at = {};             // the photograph's own time, put right
  std::string why = {};                   // of one that is doubtful or unreadable
};

/// A camera's clock over a stretch in which nobody set it.
struct CameraClock {
  std::string camera;
  std::string rig;  // whose frames the photographs are
  Utc from;         // the first of them opened
  Utc until;
  int photos = 0;
  Duration ahead{};    // of UTC at `from`
  double gains_s = 0;  // a day
};

/// The frames of one set of more than one.
struct BracketTaken {
  Utc opened;  // its first frame
  int frames = 0;
  int there = 0;  // of them have a file
  /// What lets through the least and the most light, of the frames that have a file.
  std::optional<std::pair<exposure::Exposure, exposure::Exposure>> covers = {};

  [[nodiscard]] bool complete() const { return there == frames; }
};

struct Collation {
  std::vector<Photo> photos;
  Logged log;
  std::vector<Row> rows = {};                                // by time, what has none last
  std::vector<CameraClock> clocks = {};                      // by camera and time
  std::map<shotlog::FrameName, BracketTaken> brackets = {};  // by their set, whose frame is 0
  int lone = 0;  // frames with only one of the two files that the body made

  [[nodiscard]] const BracketTaken* bracket_of(const shotlog::FrameName& frame) const;
  [[nodiscard]] int count(Status status) const;
};

[[nodiscard]] Collation collate(Logged log, std::vector<Photo> photos);

}  // namespace noonfall::collate
