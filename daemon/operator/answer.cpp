#include "daemon/operator/answer.h"

#include "lib/json/encodings.h"

namespace noonfall::control {

void fields(auto& io, json::Like<Answer> auto& it) {
  io("ok", it.ok);
  io("words", it.words);
}

std::string to_line(const Answer& answer) {
  return json::to_line(json::written(answer));
}

std::optional<Answer> parse_answer(std::string_view line) {
  auto answer = json::read<Answer>(line, {});
  return answer ? std::optional{*std::move(answer)} : std::nullopt;
}

}  // namespace noonfall::control
