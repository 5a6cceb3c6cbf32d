// The steps of a plan as they come together: each before mid-eclipse with its counterpart after it, cut to
// the time the Sun is up.
#pragma once

#include <string>
#include <vector>

#include "lib/contacts/sky_track.h"
#include "lib/draft/draft.h"

namespace noonfall::draft {

[[nodiscard]] plan::Instant from(contacts::ContactName contact, Duration offset);

[[nodiscard]] plan::Step shooting(const exposure::Subject& subject, plan::Pace pace);
[[nodiscard]] plan::Step hands(const plan::Instant& begins, const plan::Instant& ends);
/// Hands that come again and again between the sets of a step with the same span and period.
[[nodiscard]] plan::Step following(const plan::Instant& begins, const plan::Instant& ends, Duration period);

/// Of a step with a span.
[[nodiscard]] plan::Instant& start_of(plan::Step& step);
[[nodiscard]] plan::Instant& end_of(plan::Step& step);

class Book {
 public:
  /// Of several rigs, the names of steps begin with their rig's.
  Book(const contacts::Circumstances& sky, contacts::TimeSpan up, const std::vector<Gear>& rigs);

  /// From one set of the partial phase to the next: the same for all, so that one person follows the Sun at
  /// one fixed mount after the other.
  [[nodiscard]] Duration period() const { return period_; }
  /// How long before C2 the Sun is followed for the last time: hands go to tracking mounts then.
  [[nodiscard]] Duration last_followed() const { return last_followed_; }

  [[nodiscard]] bool is_up(Utc at) const { return up_.from <= at && at <= up_.until; }
  [[nodiscard]] Utc at(const plan::Instant& instant) const;

  /// A step and, turned around, its counterpart, each as far as the Sun is up. `least` is what either needs.
  void add_both(const Gear& gear, const std::string& name, plan::Step step, Duration least,
                const std::string& comment);
  /// One step, as far as the Sun is up; false where that is shorter than `least`.
  bool add_one(const Gear& gear, const std::string& name, plan::Step step, Duration least,
               const std::string& comment);

  /// All steps in their order. Spans in which a person is at several rigs become one step.
  [[nodiscard]] std::vector<plan::Step> finish();
  [[nodiscard]] std::map<std::string, std::string> comments() const { return comments_; }

 private:
  [[nodiscard]] std::string name_of(const Gear& gear, const std::string& step) const;
  [[nodiscard]] plan::Instant clipped(const plan::Instant& instant) const;
  [[nodiscard]] bool clip(plan::Step& step, Duration least) const;
  void comment_on(const plan::Step& step, const std::string& comment);
  void share_hands();

  const contacts::Circumstances& sky_;
  contacts::TimeSpan up_;
  bool several_;
  Duration period_ = std::chrono::minutes{10};
  Duration last_followed_ = std::chrono::minutes{9};
  std::vector<plan::Step> before_;
  std::vector<plan::Step> middle_;
  std::vector<plan::Step> after_;  // from mid-eclipse outwards in reverse, turned around at the end
  std::map<std::string, std::string> comments_;
};

}  // namespace noonfall::draft
