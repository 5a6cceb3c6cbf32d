// What one real body does and another of its family doesn't; docs/wired-bodies.md says who told of each.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "lib/base/result.h"

namespace noonfall::wire {

enum class Family { generic, a, b, sony, fuji, panasonic, olympus };

/// Where a picture goes.
enum class Destination { card, host, both };

struct Traits {
  std::string maker;              // as it tells it
  int news_at_opening = 0;        // settings that are said to have changed, when a session begins
  int news_after_frame = 0;       // and during each frame
  int more_settings = 0;          // beside those that do something
  int busy_word = 0x2019;         // what a release that comes too early is answered
  bool new_model = false;         // its USB ids and its extension are the class's own: the maker's name tells
  bool half_press_stays = false;  // of a full press answered busy, until it is let go
  bool needs_control_mode =
      false;  // before that, the shutter time is as it is; it has no settings of a vendor
  bool dial_shrinks_lists = false;  // the dial not being at M, the present shutter time is the only one
  bool read_only_store = false;     // "Read Only with Object deletion"
  bool second_card = false;         // empty
  bool backup_slot = false;         // a second card gets every picture too, and it is announced twice
  bool button_news = false;         // says what a press of its button came to
  bool drive_dial = false;          // single or burst can't be set
  bool mode_dial = false;           // nor what the shutter time is left to
  Destination saves_to = Destination::card;  // as its menu says, until a host says otherwise
  int host_buffer = 1;  // pictures that may wait for their host before the body takes no other, of Fujifilm's
  // Of Sony bodies:
  bool direct_times = false;    // any shutter time at once, where others step through their list
  bool single_notches = false;  // one step, however many are asked for
  bool hides_buttons = false;   // says nothing of its shutter button, which can be pressed
  bool operator==(const Traits&) const = default;
};

/// Those that every body of the family has.
[[nodiscard]] Traits traits_of(Family family);

/// With each of "news-after-frame=40", "backup-slot", "busy-word=0xA004", "maker=Somebody".
[[nodiscard]] Result<Traits> with_traits(Traits traits, const std::vector<std::string>& words);

}  // namespace noonfall::wire
