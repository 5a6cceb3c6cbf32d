// Which photographs are of which shots: camera by camera, from one setting of its clock to the next.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "lib/collate/clock_error.h"
#include "lib/collate/collate.h"

namespace noonfall::collate {

/// A stretch of a camera's photographs that goes with a rig's frames under one error of its clock.
struct Stretch {
  CameraClock clock;
  ClockError error;
  double first = 0;  // readings of the clock
  double last = 0;
};

class Matcher {
 public:
  Matcher(const Logged& log, const std::vector<Photo>& photos);
  /// A row for each photograph, in their order.
  [[nodiscard]] std::vector<Row> match();
  [[nodiscard]] std::vector<CameraClock> clocks() const;

 private:
  struct Roll {                                                // the files of one kind of one camera
    std::vector<Reading> readings;                             // by time, of those without a row
    bool names_in_order = false;                               // as the times go
    std::map<std::string, std::optional<ClockFit>> fits = {};  // by rig, as long as they hold
  };
  using Rolls = std::map<std::string, Roll>;  // by kind

  void sort_into_rolls();
  /// A body whose number is a rig's is that rig's; of others the number says nothing.
  [[nodiscard]] bool may_be_of(const std::string& camera, const std::string& rig) const {
    const auto known = rig_of_.find(camera);
    return known == rig_of_.end() || known->second == rig;
  }
  bool match_next_stretch();
  [[nodiscard]] std::vector<Opening> openings_for(const std::string& rig, const std::string& camera,
                                                  const std::string& kind) const;
  [[nodiscard]] bool is_free(std::size_t shot, const std::string& camera, const std::string& kind) const;
  [[nodiscard]] bool is_credible(const ClockFit& fit, const std::vector<Opening>& free, const Roll& roll,
                                 const std::string& camera, const std::string& rig) const;
  void take(const std::string& camera, const std::string& rig, const ClockFit& fit);
  void take_rest(const std::string& camera, const std::string& kind, const Reading& reading);
  void take_guess(const Photo& photo, const std::string& kind, const Reading& reading,
                  const Stretch& stretch);
  void give(std::size_t photo, std::size_t shot, Status status, std::string why);
  [[nodiscard]] double bonus(std::size_t photo, std::size_t shot) const;
  [[nodiscard]] bool is_told_apart(const Roll& roll, const std::vector<Opening>& openings, const Pair& pair,
                                   const Reading& reading, const ClockError& error) const;
  void take_by_name();
  [[nodiscard]] double seconds(Utc instant) const;
  [[nodiscard]] Utc instant(double seconds) const;

  const std::vector<Shot>& shots_;
  const std::vector<Photo>& photos_;
  std::map<std::string, std::string> rig_of_;  // a camera, as far as its serial number tells
  Utc origin_;
  std::map<std::string, std::vector<Opening>> openings_;   // by rig
  std::map<std::string, Rolls> rolls_;                     // by camera
  std::map<std::string, std::vector<Stretch>> stretches_;  // by camera
  std::vector<std::string> holder_;                        // of each shot: the camera that took it
  std::map<std::pair<std::size_t, std::string>, std::size_t> file_of_;  // shot and kind: its photograph
  std::vector<Row> rows_;
};

}  // namespace noonfall::collate
