#include "daemon/journal/run_settings.h"

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "lib/time/duration_text.h"

namespace noonfall::journal {
namespace {

using Json = nlohmann::ordered_json;

constexpr int settings_version = 1;
constexpr const char* version_name = "noonfall_run";
constexpr std::int64_t farthest_us = std::int64_t{366} * 100 * 86'400 * 1'000'000;

template <class Value>
struct Word {
  Value value;
  const char* word;
};
constexpr Word<shotlog::Mode> modes[] = {{shotlog::Mode::event, "event"},
                                         {shotlog::Mode::dress, "dress"},
                                         {shotlog::Mode::simulated, "simulated"}};
constexpr Word<Bodies> body_kinds[] = {
    {Bodies::real, "real"}, {Bodies::simulated, "simulated"}, {Bodies::wire, "wire"}};

template <class Value, std::size_t size>
const char* word_of(const Word<Value> (&words)[size], Value value) {
  return std::find_if(words, words + size, [&](const auto& each) { return each.value == value; })->word;
}

Diagnostic bad(std::string message, std::string hint) {
  return error_at({}, "run-settings", std::move(message), std::move(hint));
}

/// Takes the members of one object, each once, and says what is wrong with them.
class Members {
 public:
  explicit Members(const Json& json) : json_{json} {}

  template <class Value, std::size_t size>
  void word(const char* name, const Word<Value> (&words)[size], Value& out) {
    std::string all;
    const auto* found = take(name);
    for (const auto& each : words) {
      if (found != nullptr && *found == each.word) {
        out = each.value;
        return;
      }
      all += fmt::format("{}\"{}\"", all.empty() ? "" : ", ", each.word);
    }
    refuse(name, found, "one of " + all);
  }

  void number(const char* name, double low, double high, double& out) {
    const auto* found = take(name);
    if (found != nullptr && found->is_number() && found->get<double>() >= low &&
        found->get<double>() <= high) {
      out = found->get<double>();
    } else {
      refuse(name, found, fmt::format("a number from {} to {}", low, high));
    }
  }

  void span(const char* name, Duration& out) {
    const auto* found = take(name);
    if (found != nullptr && found->is_number_integer() &&
        std::abs(found->get<double>()) <= 1.0 * farthest_us) {
      out = Duration{found->get<std::int64_t>()};
    } else {
      refuse(name, found, "a whole number of microseconds");
    }
  }

  void seed(const char* name, std::optional<std::uint64_t>& out) {
    const auto* found = take(name);
    if (found != nullptr && found->is_null()) return;
    if (found != nullptr && found->is_number_unsigned()) {
      out = found->get<std::uint64_t>();
    } else {
      refuse(name, found, "null or a whole number");
    }
  }

  void text(const char* name, std::string& out) {
    const auto* found = take(name);
    if (found != nullptr && found->is_string()) {
      out = found->get<std::string>();
    } else {
      refuse(name, found, "a text");
    }
  }

  void flag(const char* name, bool& out) {
    const auto* found = take(name);
    if (found != nullptr && found->is_boolean()) {
      out = found->get<bool>();
    } else {
      refuse(name, found, "true or false");
    }
  }

  Diagnostics findings() && {
    for (const auto& [name, value] : json_.items()) {
      if (std::find(taken_.begin(), taken_.end(), name) == taken_.end()) {
        findings_.push_back(bad(fmt::format("\"{}\" isn't known", name), "only what this noonfalld wrote"));
      }
    }
    return std::move(findings_);
  }

 private:
  const Json* take(const char* name) {
    taken_.emplace_back(name);
    const auto found = json_.find(name);
    return found == json_.end() ? nullptr : &*found;
  }

  void refuse(const char* name, const Json* found, std::string wanted) {
    const auto what = found == nullptr ? std::string{"is missing"} : fmt::format("is {}", found->dump());
    findings_.push_back(bad(fmt::format("\"{}\" {}", name, what), std::move(wanted)));
  }

  const Json& json_;
  std::vector<std::string> taken_{version_name};
  Diagnostics findings_;
};

std::string on_or_off(bool on) {
  return on ? "on" : "off";
}

std::string seed_words(const std::optional<std::uint64_t>& seed) {
  return seed ? fmt::format("{}", *seed) : "not given";
}

}  // namespace

std::string to_json_text(const RunSettings& settings) {
  Json json;
  json[version_name] = settings_version;
  json["mode"] = word_of(modes, settings.mode);
  json["bodies"] = word_of(body_kinds, settings.bodies);
  json["moved_us"] = settings.moved.count();
  json["speed"] = settings.speed;
  json["seed"] = settings.seed ? Json(*settings.seed) : Json(nullptr);
  json["detune"] = settings.detune;
  json["plan"] = settings.plan;
  json["faults"] = settings.faults;
  if (!settings.limb_data.empty()) json["limb_data"] = settings.limb_data;
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

Result<RunSettings> parse_run_settings(std::string_view text) {
  const auto json = Json::parse(text, nullptr, false);
  if (!json.is_object())
    return fail(bad("the file isn't one JSON object", "a run.json that noonfalld wrote"));
  if (const auto version = json.find(version_name); version == json.end() || *version != settings_version) {
    return fail(bad(version == json.end() ? fmt::format("\"{}\" is missing", version_name)
                                          : fmt::format("the file is of version {}", version->dump()),
                    fmt::format("version {}; name another folder with --state DIR", settings_version)));
  }
  RunSettings settings;
  Members members{json};
  members.word("mode", modes, settings.mode);
  members.word("bodies", body_kinds, settings.bodies);
  members.span("moved_us", settings.moved);
  members.number("speed", 0.001, 10'000, settings.speed);
  members.seed("seed", settings.seed);
  members.number("detune", 0.01, 100, settings.detune);
  members.text("plan", settings.plan);
  members.flag("faults", settings.faults);
  if (json.contains("limb_data")) members.text("limb_data", settings.limb_data);
  auto findings = std::move(members).findings();
  if (!findings.empty()) return fail(std::move(findings));
  return settings;
}

Diagnostics differences(const RunSettings& begun, const RunSettings& asked) {
  Diagnostics findings;
  const auto compare = [&](std::string_view what, const auto& was, const auto& is) {
    if (was == is) return;
    findings.push_back(bad(fmt::format("{} {} in this folder's run, not {}", what, was, is),
                           "the same settings, or another folder with --state DIR"));
  };
  compare("the mode is", std::string{word_of(modes, begun.mode)}, word_of(modes, asked.mode));
  compare("the bodies are", std::string{word_of(body_kinds, begun.bodies)},
          word_of(body_kinds, asked.bodies));
  compare("the contacts are moved by", to_text(begun.moved), to_text(asked.moved));
  compare("the speed is", begun.speed, asked.speed);
  compare("the seed is", seed_words(begun.seed), seed_words(asked.seed));
  compare("the bodies' times are multiplied by", begun.detune, asked.detune);
  compare("the faults are", on_or_off(begun.faults), on_or_off(asked.faults));
  return findings;
}

}  // namespace noonfall::journal
