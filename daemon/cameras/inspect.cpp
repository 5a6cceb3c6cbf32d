#include "daemon/cameras/inspect.h"

#include <algorithm>
#include <cctype>
#include <optional>
#include <utility>

#include "lib/measure/fit.h"

namespace noonfall::cameras {
namespace {

using namespace std::chrono_literals;
using rig::Answer;

constexpr Duration ask_again = 20ms;
constexpr Duration longest_busy = 20s;

bool trouble(const Line& line, const Diagnostics& errors) {
  const auto& first = errors.front();
  line.say(InspectionFailure{first.code, first.message, first.hint});
  return false;
}

bool stopped(const Line& line) {
  line.say(InspectionFailure{"stopped", "stopped before the end", {}});
  return false;
}

/// Runs the series to its end. False when told to stop.
bool shoot(BodyAtHand& body, measure::Series& series, const Line& line) {
  const int of = series.ahead().frames;
  std::optional<InspectionProgress> told;
  while (const auto ask = series.next()) {
    const InspectionProgress progress{std::string{to_text(ask->part)}, series.frames_taken(), of};
    if (ask->part != measure::Part::preparation && std::exchange(told, progress) != progress)
      line.say(progress);
    body.wait_until(body.now() + ask->rest);
    if (line.stopped()) return false;
    const auto called = body.now();
    auto answer = body.camera().answer(measure::call_at(*ask, called), called);
    body.wait_until(answer.at);
    series.hear(called, std::move(answer), body.inspection().announcements());
  }
  return true;
}

bool is_jpeg(std::string name) {
  std::transform(name.begin(), name.end(), name.begin(),
                 [](char c) { return static_cast<char>(std::tolower(static_cast<unsigned char>(c))); });
  return name.ends_with(".jpg") || name.ends_with(".jpeg");
}

/// The largest of the first few of each kind.
measure::FileSizes sizes_of(const measure::Series& series, body::Inspection& inspection) {
  constexpr int enough = 8;
  measure::FileSizes sizes;
  int asked = 0;
  for (const auto& heard : series.heard()) {
    for (const auto& frame : heard.answer.frames) {
      for (const auto& name : frame.files) {
        if (asked++ >= enough) return sizes;
        auto& of_kind = is_jpeg(name) ? sizes.jpeg : sizes.raw;
        of_kind = std::max(of_kind, inspection.file_size(name).value_or(Megabytes{}));
      }
    }
  }
  return sizes;
}

/// Asks until the body isn't busy any more.
rig::DeviceAnswer settle(BodyAtHand& body, const rig::SettingsCall& wanted, const Line& line) {
  const auto give_up = body.now() + longest_busy;
  for (;;) {
    auto answer = body.camera().answer(wanted, body.now());
    body.wait_until(answer.at);
    if (answer.answer != Answer::busy || body.now() > give_up || line.stopped()) return answer;
    body.wait_until(body.now() + ask_again);
  }
}

SettingsTrial try_one(BodyAtHand& body, const rig::SettingsCall& wanted, const Line& line) {
  SettingsTrial trial;
  trial.asked = wanted;
  trial.choices = body.inspection().choices_for(wanted.exposure);
  const auto began = body.now();
  const auto answer = settle(body, wanted, line);
  trial.took = body.now() - began;
  trial.answer = answer.answer;
  trial.shown = {answer.exposure.value_or(wanted.exposure), answer.drive};
  if (answer.drive == body::Drive::bracket) trial.shown.bracket = wanted.bracket;
  trial.why = answer.why;
  return trial;
}

}  // namespace

bool list_bodies(BodySource& source, const Line& line) {
  const auto found = source.find();
  if (!found) return trouble(line, found.error());
  for (const auto& told : found->bodies) line.say(told);
  for (const auto& unopened : found->unopened) line.say(unopened);
  return true;
}

bool measure_body(BodySource& source, const std::string& serial, const std::string& name, Duration grace,
                  const Line& line) {
  const auto body = source.open(serial);
  if (!body) return trouble(line, body.error());
  const auto told = (*body)->inspection().description();
  if (!told) return trouble(line, told.error());
  line.say(*told);
  if (told->choices.shutters.empty() || told->choices.isos.empty()) {
    return trouble(line, {error_at({}, "no-choices", "the body offers no shutter times or no ISO values",
                                   "the mode dial at M")});
  }
  measure::Series series{
      {told->choices, told->offers_burst, told->opening, (*body)->inspection().own_brackets()}};
  line.say(series.ahead());
  (*body)->wait_until((*body)->now() + grace);
  if (line.stopped() || !shoot(**body, series, line)) return stopped(line);
  const auto measured = measure::fit(series, *told, sizes_of(series, (*body)->inspection()), name);
  if (!measured) return trouble(line, measured.error());
  line.say(MeasuredProfile{measured->frames, measure::to_yaml(*measured)});
  return true;
}

bool try_settings(BodySource& source, const std::string& serial, const std::vector<rig::SettingsCall>& wanted,
                  const Line& line) {
  const auto body = source.open(serial);
  if (!body) return trouble(line, body.error());
  const auto told = (*body)->inspection().description();
  if (!told) return trouble(line, told.error());
  line.say(*told);
  for (const auto& settings : wanted) {
    if (line.stopped()) return stopped(line);
    auto trial = try_one(**body, settings, line);
    const bool lost = trial.answer == Answer::gone;
    auto why = trial.why;
    line.say(std::move(trial));
    if (lost) return trouble(line, {error_at({}, "gone", std::move(why))});
  }
  return true;
}

}  // namespace noonfall::cameras
