#include "daemon/operator/answer.h"

#include <nlohmann/json.hpp>

namespace noonfall::control {

using Json = nlohmann::ordered_json;

std::string to_line(const Answer& answer) {
  const Json json{{"ok", answer.ok}, {"words", answer.words}};
  return json.dump(-1, ' ', false, Json::error_handler_t::replace) + "\n";
}

std::optional<Answer> parse_answer(std::string_view line) {
  const auto json = Json::parse(line, nullptr, false);
  if (!json.is_object()) return std::nullopt;
  const auto ok = json.find("ok");
  const auto words = json.find("words");
  if (ok == json.end() || !ok->is_boolean() || words == json.end() || !words->is_string())
    return std::nullopt;
  return Answer{ok->get<bool>(), words->get<std::string>()};
}

}  // namespace noonfall::control
