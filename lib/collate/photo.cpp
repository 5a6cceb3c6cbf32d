#include "lib/collate/photo.h"

#include <algorithm>
#include <map>
#include <optional>
#include <set>

#include "lib/shotlog/account.h"

namespace noonfall::collate {
namespace {

std::string subject_of(const shotlog::Header& plan, const shotlog::FrameName& frame) {
  for (const auto& rig : plan.rigs) {
    for (const auto& step : rig.steps)
      if (rig.rig == frame.rig && step.step == frame.step) return step.subject;
  }
  return {};
}

/// Empty for one that certainly left no file.
std::optional<Shot> shot_of(const shotlog::FrameName& name, const shotlog::FrameAccount& frame,
                            const std::vector<shotlog::Header>& plans) {
  if (frame.is(order::Outcome::skipped) || frame.is(order::Outcome::cancelled)) return std::nullopt;
  Shot shot{
      .frame = name, .due = frame.due(), .opened = frame.due(), .fired = frame.is(order::Outcome::fired)};
  if (frame.plan < plans.size()) shot.subject = subject_of(plans[frame.plan], name);
  shot.exposure = frame.last ? frame.last->exposure : frame.asked->exposure;
  if (!frame.last) return shot;
  shot.opened = frame.last->opened.value_or(shot.due);
  shot.files = frame.last->files;
  return shot;
}

/// Contacts and serial numbers of the plan last in force.
void learn(const shotlog::Header& plan, Logged& out) {
  for (const auto& rig : plan.rigs)
    if (!rig.serial.empty()) out.serials[rig.rig] = rig.serial;
  out.zone = plan.zone;
  if (plan.kind == contacts::Kind::none) return;
  out.sky = {};
  out.sky.kind = plan.kind;
  for (const auto& contact : plan.contacts) {
    auto& known = out.sky.contacts[static_cast<std::size_t>(contact.name)].emplace();
    known.utc = contact.utc;
    known.uncertainty = contact.uncertainty;
  }
}

/// Frames of the same name that opened at different instants are of two runs, and both stay.
void add(std::multimap<shotlog::FrameName, Shot>& all, Shot shot) {
  const auto [begin, end] = all.equal_range(shot.frame);
  for (auto at = begin; at != end; ++at) {
    auto& known = at->second;
    if (known.fired && shot.fired && known.opened != shot.opened) continue;
    if (shot.fired) known = std::move(shot);
    return;
  }
  const auto frame = shot.frame;
  all.emplace(frame, std::move(shot));
}

/// Makers write a body's number with and without zeros before it.
std::string without_zeros(const std::string& serial) {
  return serial.substr(std::min(serial.find_first_not_of('0'), serial.size()));
}

}  // namespace

std::string_view base_name(std::string_view path) {
  return path.substr(path.rfind('/') + 1);
}

std::string Photo::kind() const {
  const auto dot = name().rfind('.');
  if (dot == std::string_view::npos) return {};
  std::string kind{name().substr(dot + 1)};
  for (auto& c : kind) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return kind == "jpeg" ? "jpg" : kind;
}

std::map<std::string, std::string> rigs_by_serial(const Logged& log, const std::vector<Photo>& photos) {
  std::map<std::string, std::string> rig_of;
  for (const auto& [rig, serial] : log.serials) {
    const auto number = without_zeros(serial);
    for (const auto& photo : photos)
      if (!number.empty() && without_zeros(photo.serial) == number) rig_of[photo.camera] = rig;
  }
  return rig_of;
}

Logged logged(const std::vector<shotlog::Replayed>& logs) {
  Logged out;
  std::multimap<shotlog::FrameName, Shot> shots;
  std::set<shotlog::FrameName> never_taken;
  for (const auto& log : logs) {
    const auto account = shotlog::account_of(log.lines);
    for (const auto& [name, frame] : account.frames) {
      if (auto shot = shot_of(name, frame, account.plans)) {
        add(shots, std::move(*shot));
      } else {
        never_taken.insert(name);
      }
    }
    learn(account.plan(), out);
  }
  for (auto& [frame, shot] : shots) {
    never_taken.erase(frame);
    out.shots.push_back(std::move(shot));
  }
  std::stable_sort(out.shots.begin(), out.shots.end(),
                   [](const Shot& a, const Shot& b) { return a.opened < b.opened; });
  out.never_taken.assign(never_taken.begin(), never_taken.end());
  return out;
}

}  // namespace noonfall::collate
