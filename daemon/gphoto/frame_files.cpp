#include "daemon/gphoto/frame_files.h"

#include <algorithm>
#include <utility>

namespace noonfall::gphoto {
namespace {

constexpr int numbers = 9999;  // 0001 to 9999 (DCF 2.0, CIPA DC-009)
constexpr int most_late = 100;
constexpr std::size_t most_remembered = 50'000;

}  // namespace

std::string_view base_name(std::string_view path) {
  const auto slash = path.rfind('/');
  const auto dot = path.rfind('.');
  const bool has_ending = dot != std::string_view::npos && (slash == std::string_view::npos || dot > slash);
  return has_ending ? path.substr(0, dot) : path;
}

std::optional<int> picture_number(std::string_view base) {
  constexpr std::size_t digits = 4;
  if (base.size() < digits) return std::nullopt;
  int number = 0;
  for (const char digit : base.substr(base.size() - digits)) {
    if (digit < '0' || digit > '9') return std::nullopt;
    number = 10 * number + (digit - '0');
  }
  return number;
}

bool is_in_memory(std::string_view path) {
  return path.rfind('/') == 0 || path.starts_with("//");
}

bool FrameFiles::announced(const std::string& path, Utc now) {
  if (announced_.size() >= most_remembered) announced_.clear();
  if (!announced_.insert(path).second) return false;
  missed_ = 0;
  auto* frame = frame_for(base_name(path), now);
  if (const auto number = picture_number(base_name(path))) last_number_ = number;
  if (frame == nullptr) return false;
  frame->files.push_back(path);
  return true;
}

AwaitedFrame* FrameFiles::frame_for(std::string_view base, Utc now) {
  const auto same = std::ranges::find_if(awaited_, [&](const AwaitedFrame& frame) {
    return !frame.files.empty() && base_name(frame.files.front()) == base;
  });
  if (same != awaited_.end()) return &*same;
  const auto end = std::ranges::find_if(awaited_, [&](const auto& frame) { return frame.opens > now; });
  const auto first = [&](auto which) {
    return std::find_if(awaited_.begin(), end,
                        [&](const auto& frame) { return frame.files.empty() && which(frame); });
  };
  const auto number = picture_number(base);
  const bool counted = number && last_number_;
  const int ahead = counted ? (*number - *last_number_ + numbers) % numbers : 0;
  // A little behind the last number: a picture told late, of a frame that others have overtaken.
  const bool late = counted && numbers - ahead < most_late;
  auto next = first([&](const auto& frame) { return counted ? frame.passed == late : !frame.overdue; });
  if (next == end) next = first([](const auto& /*any*/) { return true; });
  if (next == end) return nullptr;
  // More than are awaited: somebody pressed the button, or a folder was full and numbers began anew.
  const auto missed = late ? 0 : std::max(0, ahead - 1);
  if (missed < end - next) next += missed;
  if (number && !late) std::for_each(awaited_.begin(), next, [](auto& frame) { frame.passed = true; });
  return &*next;
}

int FrameFiles::missed(Utc heard) {
  for (auto& frame : awaited_) {
    if (!frame.files.empty() || frame.overdue || frame.due > heard) continue;
    frame.overdue = true;
    ++missed_;
  }
  return missed_;
}

void FrameFiles::last_on_card(const std::string& path) {
  if (!last_number_) last_number_ = picture_number(base_name(path));
}

std::vector<std::string> FrameFiles::files_of(const order::FrameId& id) const {
  const auto found = std::ranges::find(awaited_, id, &AwaitedFrame::id);
  return found == awaited_.end() ? std::vector<std::string>{} : found->files;
}

bool FrameFiles::is_complete(const order::FrameId& id) const {
  return files_of(id).size() >= files_a_frame_;
}

std::vector<AwaitedFrame> FrameFiles::take_complete() {
  std::vector<AwaitedFrame> complete;
  std::erase_if(awaited_, [&](auto& frame) {
    if (frame.files.size() < files_a_frame_) return false;
    complete.push_back(std::move(frame));
    return true;
  });
  return complete;
}

std::vector<AwaitedFrame> FrameFiles::take_all() {
  std::vector<AwaitedFrame> all{awaited_.begin(), awaited_.end()};
  awaited_.clear();
  return all;
}

}  // namespace noonfall::gphoto
