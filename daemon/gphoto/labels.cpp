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

// As libgphoto2 2.5.30's ptp2 driver writes them for bodies of all makers; first the best.
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

std::optional<Files> files_of(std::string_view label) {
  const auto says = [&](std::string_view word) { return label.find(word) != std::string_view::npos; };
  if (says("HEIF")) return std::nullopt;
  const bool raw = says("RAW") || says("Raw") || says("NEF");
  if (says("+")) return raw ? std::optional{Files::raw_and_jpeg} : std::nullopt;
  if (raw) return Files::raw;
  constexpr std::array<std::string_view, 6> short_words{"Standard", "Light", "L", "M", "S1", "S2"};
  const bool jpeg = says("JPEG") || says("Fine") || std::ranges::count(short_words, label) > 0;
  return jpeg ? std::optional{Files::jpeg} : std::nullopt;
}

/// How far a format is from the best of its kind: by size first, then by compression.
int loss_of(std::string_view label) {
  struct Word {
    std::string_view text;
    int loss;
  };
  constexpr Word words[] = {{"Tiny", 100},  {"Smaller", 20},   {"Small", 20}, {"S2", 45},      {"S1", 5},
                            {"M", 10},      {"sRAW", 30},      {"mRAW", 20},  {"cRAW", 10},    {"sRAW2", 10},
                            {"Basic", 4},   {"Light", 4},      {"Std", 2},    {"Standard", 2}, {"Normal", 2},
                            {"X.Fine", -1}, {"Extra Fine", -1}};
  int loss = 0;
  for (const auto& word : words) loss += label.find(word.text) != std::string_view::npos ? word.loss : 0;
  return loss;
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
  auto time = label == "65535/65535" ? std::nullopt : fraction(text);
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
  if (*number > 1000 && *number % 10 != 0) return std::nullopt;
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
  std::stable_sort(choices.begin(), choices.end(), [](const auto& one, const auto& other) {
    return loss_of(one.label) < loss_of(other.label);
  });
  return choices;
}

std::optional<body::Focusing> focusing_of(std::string_view label) {
  const auto says = [&](std::string_view word) { return label.find(word) != std::string_view::npos; };
  if (label.starts_with("Manual") || label.starts_with("MF") || label == "Preset MF")
    return body::Focusing::by_hand;
  const bool by_itself = says("AF") || label.starts_with("AI ") || label.starts_with("Automatic") ||
                         label == "One Shot" || label == "DMF";
  return by_itself ? std::optional{body::Focusing::by_itself} : std::nullopt;
}

std::optional<body::SavedTo> saved_to_of(std::string_view label) {
  if (label.starts_with("card") || label == "Memory card") return body::SavedTo::card;
  const bool memory = label == "sdram" || label == "Internal RAM";
  return memory ? std::optional{body::SavedTo::memory} : std::nullopt;
}

body::DriveMode drive_mode_of(std::string_view label) {
  if (label.starts_with("Single")) return body::DriveMode::single;
  const bool burst = label == "Burst" || label.find("ontinuous") != std::string_view::npos;
  return burst && label != "Continuous timer" ? body::DriveMode::continuous : body::DriveMode::other;
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
