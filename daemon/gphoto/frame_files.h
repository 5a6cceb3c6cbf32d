// Which frame an announced file belongs to: files come late, in pairs, and sometimes not at all.
#pragma once

#include <cstddef>
#include <deque>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "lib/order/order.h"
#include "lib/time/utc.h"

namespace noonfall::gphoto {

/// A released frame and the files announced for it so far.
struct AwaitedFrame {
  order::FrameId id;
  std::vector<std::string> files = {};
  Utc opens = Utc::min();  // no file is of it before
  Utc due = Utc::max();    // by then its picture should have been announced
  bool overdue = false;    // and wasn't
  bool passed = false;     // a frame released later has its picture
  bool operator==(const AwaitedFrame&) const = default;
};

/// Frames in the order released. A body numbers its pictures one by one, so a gap in the numbers is a frame
/// of which nothing was announced; the files of one frame share a name but for its ending.
class FrameFiles {
 public:
  /// What a frame leaves: one file, or two.
  explicit FrameFiles(std::size_t files_a_frame) : files_a_frame_{files_a_frame} {}

  /// Its shutter opens then or a little earlier: what is announced before was released by an earlier host.
  void released(const order::FrameId& id, Utc opens, Utc due = Utc::max()) {
    awaited_.push_back({.id = id, .opens = opens, .due = due});
  }
  /// A file by its whole path. Whether it is of an awaited frame: one that was announced before isn't, as a
  /// body with a copy on a second card tells of each twice.
  bool announced(const std::string& path, Utc now);
  /// The body was opened anew, with another card perhaps: names may come again.
  void reopened() { announced_.clear(); }
  /// Whether it is known which picture comes next.
  [[nodiscard]] bool counts() const { return last_number_.has_value(); }

  /// Everything announced by `heard` is known. How many frames in a row up to the last one that was due by
  /// then had no picture. Where no numbers tell, a later file is of a frame after these.
  [[nodiscard]] int missed(Utc heard);
  /// The last picture on the card before any was announced.
  void last_on_card(const std::string& path);

  [[nodiscard]] std::vector<std::string> files_of(const order::FrameId& id) const;
  [[nodiscard]] bool is_complete(const order::FrameId& id) const;
  /// Takes off the frames that are complete. Others stay: they tell whose file a later one is.
  [[nodiscard]] std::vector<AwaitedFrame> take_complete();
  /// Takes off every frame that is still awaited.
  [[nodiscard]] std::vector<AwaitedFrame> take_all();
  [[nodiscard]] bool empty() const { return awaited_.empty(); }

 private:
  [[nodiscard]] AwaitedFrame* frame_for(std::string_view base, Utc now);

  std::size_t files_a_frame_;
  std::deque<AwaitedFrame> awaited_;
  std::optional<int> last_number_;  // of the last file announced
  std::set<std::string> announced_;
  int missed_ = 0;
};

/// "/store/DCIM/100A/IMG_0001.CR2" is of "/store/DCIM/100A/IMG_0001".
[[nodiscard]] std::string_view base_name(std::string_view path);
/// The digits a base name ends with; none without any, or with more than a body counts.
[[nodiscard]] std::optional<int> picture_number(std::string_view base);

/// A file that lies on no card: the body was set to leave its pictures to us.
[[nodiscard]] bool is_in_memory(std::string_view path);

}  // namespace noonfall::gphoto
