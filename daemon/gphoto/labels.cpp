#include "daemon/gphoto/labels.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <numeric>

#include "lib/base/number.h"

namespace noonfall::gphoto {
namespace {

/// An exact fraction; small enough that two of them can be divided.
struct Fraction {
  std::int64_t numerator = 0;
  std::int64_t denominator = 1;
};

constexpr std::size_t most_digits = 9;

/// "0.0020" is 20/10000.
std::optional<Fraction> decimal(std::string_view text) {
  if (text.empty() || text.front() == '-' || !parse_decimal(text)) return std::nullopt;
  const auto point = text.find('.');
  std::string digits{text};
  std::int64_t denominator = 1;
  if (point != std::string_view::npos) {
    digits.erase(point, 1);
    for (auto n = point + 1; n < text.size(); ++n) denominator *= 10;
  }
  if (digits.size() > most_digits) return std::nullopt;
  std::int64_t numerator = 0;
  for (const char digit : digits) numerator = 10 * numerator + (digit - '0');
  return Fraction{numerator, denominator};
}

std::optional<Fraction> fraction(std::string_view text) {
  const auto slash = text.find('/');
  if (slash == std::string_view::npos) return decimal(text);
  const auto above = decimal(text.substr(0, slash));
  const auto below = decimal(text.substr(slash + 1));
  if (!above || !below || below->numerator == 0) return std::nullopt;
  return Fraction{above->numerator * below->denominator, above->denominator * below->numerator};
}

/// Without one of these at its end.
std::optional<std::string_view> without(std::string_view text, std::string_view unit) {
  if (!text.ends_with(unit)) return std::nullopt;
  return trim(text.substr(0, text.size() - unit.size()));
}

std::optional<exposure::Shutter> in_range(Fraction time) {
  if (time.numerator <= 0) return std::nullopt;
  const auto common = std::gcd(time.numerator, time.denominator);
  time = {time.numerator / common, time.denominator / common};
  const auto seconds = static_cast<double>(time.numerator) / static_cast<double>(time.denominator);
  const bool fits = std::max(time.numerator, time.denominator) <= INT32_MAX;
  if (!fits || seconds < 1.0 / 64000 || seconds > 900) return std::nullopt;
  return exposure::Shutter{static_cast<std::int32_t>(time.numerator),
                           static_cast<std::int32_t>(time.denominator)};
}

using body::Drive;
using body::Files;

// As libgphoto2 2.5.30's ptp2 driver writes them (config.c: capture_mode, canon_eos_drive_mode,
// fuji_releasemode); first the best.
constexpr std::array<std::string_view, 3> single_labels{"Single Shot", "Single", "Single frame"};
constexpr std::array<std::string_view, 9> burst_labels{"Continuous Hi+ Speed",
                                                       "Super high speed continuous shooting",
                                                       "Burst",
                                                       "Continuous high speed",
                                                       "Continuous High Speed",
                                                       "Continuous",
                                                       "Continuous Med Speed",
                                                       "Continuous low speed",
                                                       "Continuous Low Speed"};

template <std::size_t count>
void add_first(const std::vector<std::string>& labels, const std::array<std::string_view, count>& known,
               Drive drive, std::vector<Choice<Drive>>& choices) {
  for (const auto word : known) {
    if (std::ranges::find(labels, word) == labels.end()) continue;
    choices.push_back({std::string{word}, drive});
    return;
  }
}

/// Longer words first: "Smaller JPEG" is no "Small" one.
struct Worth {
  std::string_view word;
  int points;
};
constexpr std::array raw_worth{Worth{"cRAW", 300}, Worth{"mRAW", 200}, Worth{"sRAW", 100},
                               Worth{"RAW", 400},  Worth{"Raw", 400},  Worth{"NEF", 400}};
constexpr std::array size_worth{Worth{"Smaller", 10}, Worth{"Tiny", 0}, Worth{"Small", 20},
                                Worth{"Medium", 30}, Worth{"Large", 40}};
constexpr std::array quality_worth{Worth{"Extra Fine", 5}, Worth{"X.Fine", 5}, Worth{"Fine", 4},
                                   Worth{"Normal", 3},     Worth{"Std", 3},    Worth{"Standard", 3},
                                   Worth{"Basic", 2},      Worth{"Light", 2}};

template <std::size_t count>
std::optional<int> worth_of(std::string_view label, const std::array<Worth, count>& words) {
  const auto found = std::ranges::find_if(
      words, [&](const Worth& each) { return label.find(each.word) != std::string_view::npos; });
  return found == words.end() ? std::nullopt : std::optional{found->points};
}

std::optional<Files> files_of(std::string_view label) {
  const bool raw = worth_of(label, raw_worth).has_value();
  if (label.find('+') != std::string_view::npos)
    return raw ? std::optional{Files::raw_and_jpeg} : std::nullopt;
  if (raw) return Files::raw;
  const bool jpeg = label.find("JPEG") != std::string_view::npos || worth_of(label, quality_worth);
  return jpeg ? std::optional{Files::jpeg} : std::nullopt;
}

/// How much of what the sensor saw is left.
int worth_of(std::string_view label) {
  constexpr int whole_size = 40;
  return worth_of(label, raw_worth).value_or(0) + worth_of(label, size_worth).value_or(whole_size) +
         worth_of(label, quality_worth).value_or(0);
}

}  // namespace

std::optional<exposure::Shutter> shutter_of(std::string_view label) {
  auto text = trim(label);
  std::int64_t unit_s = 1;
  if (const auto minutes = without(text, "m")) {
    text = *minutes;
    unit_s = 60;
  } else if (const auto seconds = without(text, "s")) {
    text = *seconds;
  }
  auto time = fraction(text);
  if (!time) return std::nullopt;
  time->numerator *= unit_s;
  return in_range(*time);
}

std::optional<exposure::FNumber> f_number_of(std::string_view label) {
  auto text = trim(label);
  if (text.starts_with("f/") || text.starts_with("F/")) text.remove_prefix(2);
  const auto number = decimal(text);
  if (!number) return std::nullopt;
  const auto tenths =
      std::lround(10.0 * static_cast<double>(number->numerator) / static_cast<double>(number->denominator));
  if (tenths < 7 || tenths > 1280) return std::nullopt;
  return exposure::FNumber{static_cast<std::int32_t>(tenths)};
}

std::optional<exposure::Iso> iso_of(std::string_view label) {
  const auto number = parse_integer(trim(label));
  if (!number || *number < 6 || *number > 409'600) return std::nullopt;
  return exposure::Iso{static_cast<std::int32_t>(*number)};
}

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
  std::ranges::stable_sort(choices, std::ranges::greater{},
                           [](const auto& choice) { return worth_of(choice.label); });
  return choices;
}

std::optional<int> percent_of(const std::string& label) {
  const auto text = trim(label);
  if (text == "Low" || text == "low") return 0;
  if (!text.ends_with('%')) return std::nullopt;
  const auto percent = parse_integer(trim(text.substr(0, text.size() - 1)));
  return percent && *percent >= 0 && *percent <= 100 ? std::optional{static_cast<int>(*percent)}
                                                     : std::nullopt;
}

}  // namespace noonfall::gphoto
