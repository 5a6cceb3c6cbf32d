#include "lib/draft/book.h"

#include <algorithm>
#include <utility>

#include "lib/draft/gear.h"
#include "lib/plan/mirror.h"

namespace noonfall::draft {
namespace {

using namespace std::chrono_literals;
using contacts::ContactName;
using exposure::Subject;
using plan::ContactOffset;
using plan::Instant;

std::pair<Instant*, Instant*> span_of(plan::Step& step) {
  if (auto* hands = std::get_if<plan::HandsOn>(&step.what)) return {&hands->from, &hands->until};
  auto& pace = std::get<plan::Shooting>(step.what).pace;
  if (auto* every = std::get_if<plan::Every>(&pace)) return {&every->from, &every->until};
  auto& back_to_back = std::get<plan::BackToBack>(pace);
  return {&back_to_back.from, &back_to_back.until};
}

/// Turned around mid-eclipse, written out.
void turn(plan::Step& step) {
  const auto [begins, ends] = span_of(step);
  const auto first = plan::mirrored(*ends);
  *ends = plan::mirrored(*begins);
  *begins = first;
  if (auto* hands = std::get_if<plan::HandsOn>(&step.what)) hands->aim = {};
}

/// Hands that come again and again come between the sets of a step that begins at the same instant.
plan::Step after_first_set(plan::Step step) {
  auto* hands = std::get_if<plan::HandsOn>(&step.what);
  if (hands != nullptr && hands->every) std::get<ContactOffset>(hands->from.value).offset += 70s;
  return step;
}

}  // namespace

Book::Book(const contacts::Circumstances& sky, contacts::TimeSpan up, const std::vector<Gear>& rigs)
    : sky_{sky}, up_{up}, several_{rigs.size() > 1} {
  for (const auto& gear : rigs) {
    if (!gear.filter_density) continue;  // of the landscape
    period_ = std::min(period_, period_of_sets(gear));
    if (!crossing_time(gear)) last_followed_ = 13min;
  }
}

Instant from(ContactName contact, Duration offset) {
  return {ContactOffset{contact, offset, 0}, {}};
}

plan::Step shooting(const Subject& subject, plan::Pace pace) {
  plan::Step step;
  plan::Shooting what;
  what.subject = subject;
  what.pace = std::move(pace);
  step.what = std::move(what);
  return step;
}

plan::Step hands(const Instant& begins, const Instant& ends) {
  plan::Step step;
  step.what = plan::HandsOn{begins, ends, ""};
  return step;
}

plan::Step following(const Instant& begins, const Instant& ends, Duration period) {
  auto aim = hands(begins, ends);
  auto& what = std::get<plan::HandsOn>(aim.what);
  what.every = period;
  what.lasts = std::min<Duration>(period - 130s, 2min);
  return aim;
}

Instant& start_of(plan::Step& step) {
  return *span_of(step).first;
}

Instant& end_of(plan::Step& step) {
  return *span_of(step).second;
}

Utc Book::at(const Instant& instant) const {
  const auto& offset = std::get<ContactOffset>(instant.value);
  return sky_.at(offset.contact)->utc + offset.offset;
}

/// The instant moved into the time the Sun is up, told from the same contact in tens of seconds.
Instant Book::clipped(const Instant& instant) const {
  const auto& offset = std::get<ContactOffset>(instant.value);
  const auto moved = std::clamp(at(instant), up_.from, up_.until);
  if (moved == at(instant)) return instant;
  const auto away = moved - sky_.at(offset.contact)->utc;
  using Tens = std::chrono::duration<std::int64_t, std::ratio<10>>;
  const Duration inside =
      moved == up_.from ? Duration{std::chrono::ceil<Tens>(away)} : Duration{std::chrono::floor<Tens>(away)};
  return from(offset.contact, inside);
}

std::string Book::name_of(const Gear& gear, const std::string& step) const {
  return several_ ? gear.name + " " + step : step;
}

void Book::comment_on(const plan::Step& step, const std::string& comment) {
  if (!comment.empty()) comments_[step.name] = comment;
}

/// False where less than `least` is left.
bool Book::clip(plan::Step& step, Duration least) const {
  start_of(step) = clipped(start_of(step));
  end_of(step) = clipped(end_of(step));
  if (auto* hands = std::get_if<plan::HandsOn>(&step.what); hands && hands->aim)
    hands->aim = clipped(*hands->aim);
  return at(end_of(step)) - at(start_of(step)) >= least;
}

void Book::add_both(const Gear& gear, const std::string& name, plan::Step step, Duration least,
                    const std::string& comment) {
  auto turned = step;
  turned.name = name_of(gear, name + " out");
  step.name = name_of(gear, name + " in");
  step.rigs = turned.rigs = {gear.name};
  const bool whole = is_up(at(start_of(step))) && is_up(at(end_of(step))) &&
                     is_up(at(plan::mirrored(end_of(step)))) && is_up(at(plan::mirrored(start_of(step))));
  const bool comes_in = clip(step, least);
  if (comes_in) {
    comment_on(step, comment);
    before_.push_back(after_first_set(step));
  }
  if (whole && comes_in) {
    plan::Step mirror;
    mirror.name = turned.name;
    mirror.what = plan::MirrorOf{step.name, {}};
    after_.push_back(std::move(mirror));
    return;
  }
  turn(turned);
  if (!clip(turned, least)) return;
  if (!comes_in) comment_on(turned, comment);
  after_.push_back(after_first_set(turned));
}

bool Book::add_one(const Gear& gear, const std::string& name, plan::Step step, Duration least,
                   const std::string& comment) {
  step.name = name_of(gear, name);
  step.rigs = {gear.name};
  if (!clip(step, least)) return false;
  comment_on(step, comment);
  middle_.push_back(after_first_set(std::move(step)));
  return true;
}

void Book::share_hands() {
  for (auto* steps : {&before_, &middle_, &after_}) {
    for (auto step = steps->begin(); step != steps->end();) {
      const auto same = std::find_if(steps->begin(), step, [&](const plan::Step& earlier) {
        return std::holds_alternative<plan::HandsOn>(step->what) && earlier.what == step->what;
      });
      if (same == step) {
        ++step;
        continue;
      }
      same->rigs.push_back(step->rigs.front());
      std::erase_if(after_, [&](const plan::Step& out) {
        const auto* mirror = std::get_if<plan::MirrorOf>(&out.what);
        return mirror != nullptr && mirror->step == step->name;
      });
      step = steps->erase(step);
    }
  }
}

std::vector<plan::Step> Book::finish() {
  share_hands();
  auto steps = std::move(before_);
  std::ranges::move(middle_, std::back_inserter(steps));
  std::reverse(after_.begin(), after_.end());
  std::ranges::move(after_, std::back_inserter(steps));
  return steps;
}

}  // namespace noonfall::draft
