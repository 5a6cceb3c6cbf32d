#include "daemon/gphoto/dial.h"

#include <array>
#include <cmath>
#include <string_view>

namespace noonfall::gphoto {
namespace {

using body::Drive;
using body::Files;

// As libgphoto2 2.5.30's ptp2 driver writes them for families A and B and for the standard; first the best.
constexpr std::array<std::string_view, 2> single_labels{"Single Shot", "Single"};
constexpr std::array<std::string_view, 6> burst_labels{"Burst",
                                                       "Super high speed continuous shooting",
                                                       "Continuous high speed",
                                                       "Continuous High Speed",
                                                       "Continuous",
                                                       "Continuous low speed"};

template <std::size_t count>
void add_first(const std::vector<std::string>& labels, const std::array<std::string_view, count>& known,
               Drive drive, std::vector<Choice<Drive>>& choices) {
  for (const auto word : known) {
    if (std::ranges::find(labels, word) == labels.end()) continue;
    choices.push_back({std::string{word}, drive});
    return;
  }
}

std::optional<Files> files_of(std::string_view label) {
  const auto says = [&](std::string_view word) { return label.find(word) != std::string_view::npos; };
  const bool raw = says("RAW") || says("Raw") || says("NEF");
  if (says("+")) return raw ? std::optional{Files::raw_and_jpeg} : std::nullopt;
  if (raw) return Files::raw;
  return says("JPEG") || says("Fine") ? std::optional{Files::jpeg} : std::nullopt;
}

}  // namespace

std::vector<Choice<Drive>> drives_of(const std::vector<std::string>& labels) {
  std::vector<Choice<Drive>> choices;
  add_first(labels, single_labels, Drive::single, choices);
  add_first(labels, burst_labels, Drive::continuous, choices);
  return choices;
}

std::string bulb_of(const std::vector<std::string>& labels) {
  const auto found = std::ranges::find_if(
      labels, [](const std::string& label) { return label == "bulb" || label == "Bulb"; });
  return found == labels.end() ? std::string{} : *found;
}

bool is_too_long(exposure::Shutter wanted, const std::vector<Choice<exposure::Shutter>>& choices) {
  double longest_s = 0;
  for (const auto& choice : choices) longest_s = std::max(longest_s, exposure::exact_seconds(choice.value));
  constexpr double rounding = 1e-6;  // the next click of a dial is exactly a third of a stop away
  return longest_s > 0 && std::log2(exposure::exact_seconds(wanted) / longest_s) > 1.0 / 3 + rounding;
}

std::vector<Choice<Files>> formats_of(const std::vector<std::string>& labels) {
  std::vector<Choice<Files>> choices;
  for (const auto& label : labels) {
    if (const auto files = files_of(label)) choices.push_back({label, *files});
  }
  return choices;
}

}  // namespace noonfall::gphoto
