// What can be asked of a body besides shooting: its description, the size of its files, its words for
// settings.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "lib/base/result.h"
#include "lib/base/units.h"
#include "lib/body/description.h"
#include "lib/exposure/exposure.h"
#include "lib/time/utc.h"

namespace noonfall::body {

/// One setting of an exposure as the body names it.
struct Chosen {
  std::string asked;   // in our words: "1/500"
  std::string choice;  // in the body's: "0.0020s"; empty when it offers nothing near
  bool operator==(const Chosen&) const = default;
};

/// On the same body and thread as a Camera. Each call blocks until answered or its deadline has passed.
class Inspection {
 public:
  virtual ~Inspection() = default;
  /// Read anew from the body.
  [[nodiscard]] virtual Result<Description> description() = 0;
  /// Of a file named in a TakenFrame.
  [[nodiscard]] virtual std::optional<Megabytes> file_size(const std::string& name) = 0;
  /// When the host learnt of each picture of the last release of several; empty when that tells nothing.
  [[nodiscard]] virtual std::vector<Utc> announcements() { return {}; }
  /// What brackets it takes by itself when it is told to, as far as it offers that.
  [[nodiscard]] virtual std::optional<OwnBrackets> own_brackets() { return {}; }
  /// Shutter, aperture (where one is asked for and the body can set it), ISO; nothing is sent.
  [[nodiscard]] virtual std::vector<Chosen> choices_for(const exposure::Exposure& exposure) = 0;
};

}  // namespace noonfall::body
