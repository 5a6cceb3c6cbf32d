#include "daemon/cameras/inspection_words.h"

#include <array>
#include <exception>
#include <stdexcept>

#include <fmt/format.h>

#include "daemon/cameras/sheet_json.h"
#include "daemon/worker/json_members.h"
#include "lib/base/match.h"

namespace noonfall::cameras {
namespace {

constexpr std::array<std::string_view, 5> answer_words{"ok", "busy", "refused", "gone", "no word"};

rig::Answer answer_of(const std::string& word) {
  for (std::size_t n = 0; n < answer_words.size(); ++n) {
    if (answer_words[n] == word) return static_cast<rig::Answer>(n);
  }
  throw std::runtime_error{"no answer is called \"" + word + "\""};
}

Json settings_json(const rig::SettingsCall& call) {
  return {{"exposure", worker::to_json(call.exposure)}, {"drive", body::to_text(call.drive)}};
}

rig::SettingsCall settings_of(const Json& json) {
  return {worker::get_exposure(json.at("exposure")), worker::get_drive(json.at("drive"))};
}

Json choices_json(const std::vector<ports::Chosen>& choices) {
  auto list = Json::array();
  for (const auto& one : choices) list.push_back({{"asked", one.asked}, {"choice", one.choice}});
  return list;
}

Json line_of(const body::BodySheet& sheet) {
  return {{"say", "body"}, {"sheet", to_json(sheet)}};
}
Json line_of(const Unopened& unopened) {
  return {{"say", "unopened"}, {"body", to_json(unopened)}};
}
Json line_of(const measure::Extent& extent) {
  return {{"say", "series"}, {"frames", extent.frames}, {"lasts_s", in_seconds(extent.lasts)}};
}
Json line_of(const Progress& progress) {
  return {{"say", "progress"}, {"part", progress.part}, {"done", progress.done}, {"of", progress.of}};
}
Json line_of(const MeasuredProfile& measured) {
  return {{"say", "profile"}, {"frames", measured.frames}, {"yaml", measured.yaml}};
}
Json line_of(const Trial& trial) {
  return {{"say", "tried"},
          {"asked", settings_json(trial.asked)},
          {"choices", choices_json(trial.choices)},
          {"answer", answer_words.at(static_cast<std::size_t>(trial.answer))},
          {"shown", settings_json(trial.shown)},
          {"took_s", in_seconds(trial.took)},
          {"why", trial.why}};
}
Json line_of(const Trouble& trouble) {
  return {{"say", "trouble"}, {"code", trouble.code}, {"words", trouble.words}, {"hint", trouble.hint}};
}

Trial trial_of(const Json& json) {
  Trial trial;
  trial.asked = settings_of(json.at("asked"));
  for (const auto& one : json.at("choices"))
    trial.choices.push_back({one.at("asked").get<std::string>(), one.at("choice").get<std::string>()});
  trial.answer = answer_of(json.at("answer").get<std::string>());
  trial.shown = settings_of(json.at("shown"));
  trial.took = span_of(json.at("took_s"));
  trial.why = json.at("why").get<std::string>();
  return trial;
}

Said said_of(const Json& json) {
  const auto say = json.at("say").get<std::string>();
  const auto text = [&](const char* name) { return json.at(name).get<std::string>(); };
  const auto count = [&](const char* name) { return whole_of(json.at(name)); };
  if (say == "body") return sheet_of(json.at("sheet"));
  if (say == "unopened") return unopened_of(json.at("body"));
  if (say == "series") return measure::Extent{count("frames"), span_of(json.at("lasts_s"))};
  if (say == "progress") return Progress{text("part"), count("done"), count("of")};
  if (say == "profile") return MeasuredProfile{count("frames"), text("yaml")};
  if (say == "tried") return trial_of(json);
  if (say == "trouble") return Trouble{text("code"), text("words"), text("hint")};
  throw std::runtime_error{"nothing is called \"" + say + "\""};
}

/// `read(json)`, or why the line isn't one of ours.
template <class T>
Result<T> decode(std::string_view line, T (*read)(const Json&)) {
  const auto refuse = [&](const std::string& why) {
    return fail(error_at({}, "camera-line", fmt::format("the camera process said something else: {}", why)));
  };
  try {
    return read(Json::parse(line));
  } catch (const worker::BadMember& bad) {
    return refuse(bad.what);
  } catch (const std::exception& error) {
    return refuse(error.what());
  }
}

std::string dumped(const Json& json) {
  return json.dump(-1, ' ', false, Json::error_handler_t::replace) + '\n';
}

}  // namespace

std::string encode(const Said& said) {
  return dumped(std::visit([](const auto& one) { return line_of(one); }, said));
}

Result<Said> decode_said(std::string_view line) {
  return decode<Said>(line, said_of);
}

std::string encode(const rig::SettingsCall& call) {
  return dumped(settings_json(call));
}

Result<rig::SettingsCall> decode_settings(std::string_view line) {
  return decode<rig::SettingsCall>(line, settings_of);
}

}  // namespace noonfall::cameras
