#include "lib/collate/photo.h"

#include <algorithm>
#include <map>
#include <set>

#include "lib/order/order.h"

namespace noonfall::collate {
namespace {

using Subjects = std::map<std::pair<std::string, std::string>, std::string>;  // by rig and step

void learn(const shotlog::Header& header, Subjects& subjects, contacts::Circumstances& sky) {
  for (const auto& rig : header.rigs) {
    for (const auto& step : rig.steps) subjects[{rig.rig, step.step}] = step.subject;
  }
  sky.kind = header.kind;
  for (const auto& contact : header.contacts) {
    auto& known = sky.contacts[static_cast<std::size_t>(contact.name)].emplace();
    known.utc = contact.utc;
    known.uncertainty = contact.uncertainty;
  }
}

/// One log, line by line: the one place that knows how a log tells of frames.
class Account {
 public:
  void take(const shotlog::Entry& entry) {
    if (const auto* header = std::get_if<shotlog::Header>(&entry)) learn(*header, subjects, sky);
    if (const auto* amended = std::get_if<shotlog::Amendment>(&entry)) learn(amended->header, subjects, sky);
    if (const auto* intent = std::get_if<shotlog::Intent>(&entry))
      put({intent->frame, {}, intent->due, intent->due, false, intent->exposure, {}});
    if (const auto* outcome = std::get_if<shotlog::Outcome>(&entry)) take(*outcome);
    const auto* skip = std::get_if<shotlog::Skip>(&entry);
    if (skip != nullptr && skip->frame.set > 0) not_taken(skip->frame);
  }

  std::map<shotlog::FrameName, Shot> shots;
  std::set<shotlog::FrameName> never_taken;
  Subjects subjects;
  contacts::Circumstances sky;

 private:
  void take(const shotlog::Outcome& outcome) {
    if (outcome.result == order::Outcome::skipped || outcome.result == order::Outcome::cancelled)
      return not_taken(outcome.frame);
    const bool fired = outcome.result == order::Outcome::fired;
    put({outcome.frame,
         {},
         outcome.due,
         outcome.opened.value_or(outcome.due),
         fired,
         outcome.exposure,
         outcome.files});
  }
  void put(Shot shot) {
    const auto subject = subjects.find({shot.frame.rig, shot.frame.step});
    if (subject != subjects.end()) shot.subject = subject->second;
    never_taken.erase(shot.frame);
    shots[shot.frame] = std::move(shot);
  }
  void not_taken(const shotlog::FrameName& frame) {
    shots.erase(frame);
    never_taken.insert(frame);
  }
};

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

Logged logged(const std::vector<std::vector<shotlog::Line>>& logs) {
  Logged out;
  std::multimap<shotlog::FrameName, Shot> shots;
  std::set<shotlog::FrameName> never_taken;
  for (const auto& lines : logs) {
    Account account;
    for (const auto& line : lines) account.take(line.entry);
    for (auto& [frame, shot] : account.shots) add(shots, std::move(shot));
    never_taken.merge(account.never_taken);
    if (account.sky.kind != contacts::Kind::none) out.sky = account.sky;
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
