// The parts of a log line that occur in several kinds, to JSON and back. Only for this folder's .cpp files.
#pragma once

#include <nlohmann/json.hpp>

#include "lib/shotlog/line.h"

namespace noonfall::shotlog {

using Json = nlohmann::ordered_json;

/// Thrown by the readers below, caught in decode().
struct BadMember {
  std::string what;
};

void put(Json& out, const Header& header);
[[nodiscard]] Header get_header(const Json& in);

void put_utc(Json& out, const char* name, Utc instant);  // ISO 8601 with microseconds
[[nodiscard]] Utc get_utc(const Json& in, const char* name);
[[nodiscard]] const Json& member(const Json& in, const char* name);
[[nodiscard]] std::string get_text(const Json& in, const char* name);
[[nodiscard]] std::string get_text_or_empty(const Json& in, const char* name);
[[nodiscard]] std::int64_t get_integer(const Json& in, const char* name);
[[nodiscard]] double get_number(const Json& in, const char* name);
[[nodiscard]] bool get_flag(const Json& in, const char* name);

}  // namespace noonfall::shotlog
