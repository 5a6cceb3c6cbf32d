#include "daemon/journal/earlier_log.h"

#include <algorithm>
#include <optional>

#include <fmt/format.h>

#include "lib/json/encodings.h"
#include "lib/shotlog/replay.h"

namespace noonfall::journal {
namespace {

constexpr std::string_view beginning = R"({"seq":1,"utc":")";
constexpr const char* wanted =
    "a log this noonfall writes; move the file away, or name another folder with --state DIR";

/// The version a whole first line claims, whether or not the rest of it can be read.
std::optional<std::int64_t> claimed_version(std::string_view bytes) {
  const auto version =
      json::read<std::int64_t>(bytes.substr(0, bytes.find('\n')), {},
                               json::Described{[](auto& io, auto& it) { io("noonfall_shot_log", it); }});
  return version ? std::optional{*version} : std::nullopt;
}

/// A crash while the very first line was written. After a power cut the bytes may be zeros of the right
/// number.
bool is_torn_header(std::string_view bytes) {
  if (std::all_of(bytes.begin(), bytes.end(), [](char byte) { return byte == '\0'; })) return true;
  const auto end = bytes.find('\n');
  const bool one_line = end == std::string_view::npos || end + 1 == bytes.size();
  return one_line && (bytes.starts_with(beginning) || beginning.starts_with(bytes));
}

std::string cut_note(std::size_t size, std::size_t damaged) {
  auto note = fmt::format("a crash tore the end of the shot log: {} bytes were cut off", size);
  if (damaged > 0) note += fmt::format(", {} damaged lines among them", damaged);
  return note;
}

}  // namespace

Result<EarlierLog> read_earlier_log(std::string_view bytes) {
  EarlierLog log;
  if (bytes.empty()) return log;
  const auto version = claimed_version(bytes).value_or(shotlog::format_version);
  if (version < shotlog::oldest_version || version > shotlog::format_version) {
    return fail(error_at({}, "shot-log-version",
                         fmt::format("the shot log is of version {} of its format, not {} to {}", version,
                                     shotlog::oldest_version, shotlog::format_version),
                         wanted));
  }
  auto replayed = shotlog::replay(bytes);
  if (replayed.lines.empty() && !is_torn_header(bytes)) {
    return fail(error_at({}, "not-a-shot-log", "the file isn't a shot log: no line of it can be read as one",
                         wanted));
  }
  log.lines = std::move(replayed.lines);
  log.keep = replayed.sound_size;
  const auto kept_lines =
      std::count(bytes.begin(), bytes.begin() + static_cast<std::ptrdiff_t>(log.keep), '\n');
  const auto first_cut =
      std::find_if(replayed.damage.begin(), replayed.damage.end(),
                   [&](const Diagnostic& damage) { return damage.mark.line > kept_lines; });
  const auto damage_cut = static_cast<std::size_t>(replayed.damage.end() - first_cut);
  if (log.keep < bytes.size()) log.note = cut_note(bytes.size() - log.keep, damage_cut);
  replayed.damage.erase(first_cut, replayed.damage.end());
  log.damage = std::move(replayed.damage);
  return log;
}

}  // namespace noonfall::journal
