#include "lib/shotlog/replay.h"

#include <utility>

#include <fmt/format.h>

#include "lib/shotlog/codec.h"

namespace noonfall::shotlog {
namespace {

constexpr std::size_t longest_line = std::size_t{16} << 20U;

/// What a run doesn't go by.
bool is_talk(const Line& line) {
  if (const auto* command = std::get_if<CommandLine>(&line.entry)) return !command->why.empty();
  return std::holds_alternative<Note>(line.entry);
}

}  // namespace

void Replayer::take(std::string_view bytes) {
  while (!bytes.empty()) {
    const auto end = bytes.find('\n');
    const auto piece = bytes.substr(0, end);
    too_long_ = too_long_ || begun_.size() + piece.size() > longest_line;
    if (too_long_) {
      at_ += begun_.size() + piece.size();
      begun_.clear();
    } else if (end == std::string_view::npos || !begun_.empty()) {
      begun_ += piece;
    }
    if (end == std::string_view::npos) return;
    take_line(too_long_ || !begun_.empty() ? std::string_view{begun_} : piece);
    begun_.clear();
    too_long_ = false;
    bytes.remove_prefix(end + 1);
  }
}

void Replayer::take_line(std::string_view text) {
  ++number_;
  at_ += text.size() + 1;
  if (bad_) tell_damage(*std::exchange(bad_, std::nullopt));
  auto line = decode(text);
  if (!line) {
    bad_ = error_at({number_, 1}, "damaged-line", line.error().front().message,
                    "the line as it was written; it is left out, the rest is kept");
    ++expected_;
    return;
  }
  if (line->seq != expected_) {
    tell_damage(error_at({number_, 1}, "sequence",
                         fmt::format("line number {} follows where {} should", line->seq, expected_),
                         "every line, in the order written"));
  }
  expected_ = line->seq + 1;
  out_.sound_size = at_;
  keep(std::move(*line));
}

void Replayer::keep(Line line) {
  const bool surplus = is_talk(line) && ++talk_ > most_talk;
  if (surplus && last_is_surplus_) out_.lines.pop_back();
  last_is_surplus_ = surplus;
  out_.lines.push_back(std::move(line));
}

void Replayer::tell_damage(Diagnostic damage) {
  if (out_.damage.size() < most_damage) out_.damage.push_back(std::move(damage));
}

Replayed Replayer::finish() {
  if (bad_ || too_long_ || !begun_.empty()) out_.torn_tail = true;
  if (bad_ && (too_long_ || !begun_.empty())) tell_damage(*bad_);
  return std::move(out_);
}

Replayed replay(std::string_view bytes) {
  Replayer replayer;
  replayer.take(bytes);
  return replayer.finish();
}

}  // namespace noonfall::shotlog
