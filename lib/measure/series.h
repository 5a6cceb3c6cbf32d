// The short series of settings and frames that shows how a body behaves: what to ask of it next, given what
// it has answered so far.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "lib/body/description.h"
#include "lib/rig/device.h"
#include "lib/time/utc.h"

namespace noonfall::measure {

/// What an answer is evidence of.
enum class Part {
  preparation,  // brings the body into a state; its time means nothing
  shutter_change,
  aperture_change,
  iso_change,
  drive_change,
  single_frame,  // after a rest
  after_frame,   // an ISO change asked for as soon as a frame is released: taken when the body is free again
  single_pace,   // back to back, the first of each exposure apart
  burst,
  fill,     // until the buffer is full
  bracket,  // of the body's own
};
[[nodiscard]] std::string_view to_text(Part part);

struct Ask {
  Part part = Part::preparation;
  rig::DeviceCall call;
  Duration rest{};  // from the answer before it to the call
  bool operator==(const Ask&) const = default;
};

/// The call, made at `now`: a burst has a minute.
[[nodiscard]] rig::DeviceCall call_at(const Ask& ask, Utc now);

/// A call that the body didn't answer busy.
struct Heard {
  Part part = Part::preparation;
  rig::DeviceCall call;
  Utc called;
  rig::DeviceAnswer answer;
  std::vector<Utc> announced;  // of a burst: when the host learnt of each picture; may be empty
  bool operator==(const Heard&) const = default;
};

/// What of a body's description decides the series. One that doesn't tell its openings is asked for bursts of
/// two lengths, and for one long one: what can be known of them is when they were over.
struct Subject {
  body::Choices choices;  // shutters and isos: one or more
  bool offers_burst = false;
  body::OpeningStamp opening = body::OpeningStamp::told;
  std::optional<body::OwnBrackets> brackets = {};
};

/// What is ahead, for the announcement: at most so many frames, about so long.
struct Extent {
  int frames = 0;
  Duration lasts{};
  bool operator==(const Extent&) const = default;
};

class Series {
 public:
  explicit Series(const Subject& subject);

  /// Nothing when the series is at its end, done or failed.
  [[nodiscard]] std::optional<Ask> next() const;
  /// The answer to next(), asked at `called`.
  void hear(Utc called, rig::DeviceAnswer answer, std::vector<Utc> announced = {});

  [[nodiscard]] Extent ahead() const;
  [[nodiscard]] int frames_taken() const { return frames_taken_; }
  [[nodiscard]] const std::vector<Heard>& heard() const { return heard_; }
  /// Those the subject says; none where the body didn't take one.
  [[nodiscard]] const std::optional<body::OwnBrackets>& brackets() const { return brackets_; }
  /// Empty unless the body ended the series by what it answered.
  [[nodiscard]] const std::string& why_failed() const { return why_failed_; }

 private:
  void took(Utc called, rig::DeviceAnswer answer, std::vector<Utc> announced);
  void drop_bursts();
  void drop_fill();
  void drop_brackets();

  std::vector<Ask> script_;
  std::size_t position_ = 0;
  std::optional<Utc> busy_since_;
  std::vector<Heard> heard_;
  std::optional<body::OwnBrackets> brackets_;
  int frames_taken_ = 0;
  std::string why_failed_;
};

/// All of a series in its order, before anything is known of how the body behaves.
[[nodiscard]] std::vector<Ask> series_script(const Subject& subject);

}  // namespace noonfall::measure
