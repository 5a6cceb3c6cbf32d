// The sentences that come by themselves, in each language: short, and those on filters not to be mistaken
// for each other.
#pragma once

#include <string>

#include "lib/plan/plan.h"

namespace noonfall::timeline {

/// What stands in braces behind is filled in, in that order.
enum class Sentence {
  stand_by,        // {rig}
  filter_off,      // {rig}
  filter_back_on,  // {rig}
  filter_on,       // {rig}: nobody has said anything of it before
  keep_filter_on,  // {rig}: a rehearsal
  clock_unverified,
  hands_needed,     // {rigs} {what for}
  hands_needed_at,  // {rigs}
  hands_off,        // {rigs}
  by_hand,          // {rig} {what}: a camera without a cable
  frames,           // {how many} {shortest} {longest}
  rig_number,       // {number}
  look_after,       // {rig}: its body is away, and nothing helped
  sunlight_returns,
  second_contact_in,  // {time}
  third_contact_in,   // {time}
  one_minute,
  thirty_seconds,
  ten_seconds,
};

/// As the voice says it. Texts that a plan brings are put in as they are.
[[nodiscard]] std::string sentence(plan::Language language, Sentence what, const std::string& first = {},
                                   const std::string& second = {}, const std::string& third = {});

}  // namespace noonfall::timeline
