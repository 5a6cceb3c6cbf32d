#include "daemon/gphoto/family.h"

#include <algorithm>

#include <fmt/format.h>

#include "daemon/gphoto/settings.h"

namespace noonfall::gphoto {
namespace {

constexpr int read_back_tries = 20;
constexpr int read_back_wait_ms = 20;
constexpr int most_insistence = 3;

Tried<bool> settle(Session& session, const std::string& name, const std::string& label) {
  if (auto done = session.set(name, label); !done) return tl::unexpected{done.error()};
  for (int tries = 0; tries < read_back_tries; ++tries) {
    const auto control = session.control(name);
    if (!control) return tl::unexpected{control.error()};
    if (control->label == label) return true;
    (void)session.news(read_back_wait_ms);
  }
  return false;
}

}  // namespace

std::string Family::why_no_release() const {
  if (about_.offers(initiate_capture)) return {};
  return fmt::format("no way is known to release its shutter (libgphoto2 {})", about_.driver);
}

std::optional<std::string> Family::point_to_card(Session& session) {
  const auto target = session.control("capturetarget");
  if (!target) return std::nullopt;
  const auto card = std::ranges::find_if(target->choices, [](const std::string& choice) {
    return choice.find("card") != std::string::npos || choice.find("Card") != std::string::npos;
  });
  if (card == target->choices.end()) return fmt::format("{}: it offers no card", lost_words);
  return set_or_say(session, target->name, *card, lost_words);
}

std::optional<body::SavedTo> Family::saved_to(Session& session) const {
  const auto target = session.control("capturetarget");
  return target ? saved_to_of(target->label) : std::nullopt;
}

std::optional<std::string> Family::leave_files(Session& session, body::Files files) {
  const auto format = Setting<body::Files>::of(session.first_of(format_names), formats_of);
  if (format.choices.empty() || format.value() == files) return std::nullopt;
  const auto consequence = fmt::format("frames won't leave {} files", to_text(files));
  const auto wanted = std::ranges::find(format.choices, files, &Choice<body::Files>::value);
  if (wanted == format.choices.end()) return fmt::format("{}: the body doesn't offer it", consequence);
  return set_or_say(session, format.name, wanted->label, consequence);
}

rig::Answer Family::answer_of(const DriverError& error) const {
  return gphoto::answer_of(error);
}

Tried<void> Family::ready(Session& session, std::size_t frames) {
  if (bursts_ != Bursts::told || burst_length_ == frames || (frames == 1 && burst_length_ == 0)) return {};
  auto done = session.set("burstnumber", fmt::format("{}", frames));
  if (done) burst_length_ = frames;
  return done;
}

Tried<void> Family::begin(Session& session) {
  return by_driver_ ? session.trigger() : press(session);
}

Tried<void> Family::end(Session& session) {
  return by_driver_ ? Tried<void>{} : let_go(session);
}

void Family::change_way() {
  if (has_other_way()) by_driver_ = !by_driver_;
}

Bursts told_bursts(Session& session) {
  const auto length = session.control("burstnumber");
  return length && !length->read_only ? Bursts::told : Bursts::none;
}

std::unique_ptr<Family> family_of(Session& session) {
  for (const auto make : {family_b, family_a, family_sony, family_fuji, family_panasonic, family_olympus}) {
    if (auto family = make(session)) return family;
  }
  return std::make_unique<Family>(session.about(), told_bursts(session));
}

Tried<void> operate(Session& session, const std::string& words) {
  return session.set("opcode", words);
}

std::optional<std::string> set_or_say(Session& session, const std::string& name, const std::string& label,
                                      const std::string& consequence) {
  const auto settled = settle(session, name, label);
  if (settled && *settled) return std::nullopt;
  return fmt::format("{}: {} can't be set to \"{}\": {}", consequence, name, label,
                     settled ? "the body shows something else" : words_of(settled.error()));
}

Tried<void> insist(const Family& family, const std::string& name, const std::string& label,
                   Session& session) {
  Tried<void> done;
  for (int tries = 0; tries < most_insistence; ++tries) {
    done = session.set(name, label);
    if (done || family.answer_of(done.error()) == rig::Answer::gone) break;
  }
  return done;
}

}  // namespace noonfall::gphoto
