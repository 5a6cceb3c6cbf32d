#include "sim/body/fault_text.h"

#include <fmt/format.h>

#include "lib/base/match.h"
#include "lib/plan/instant_text.h"
#include "lib/time/duration_text.h"
#include "lib/time/utc_text.h"
#include "lib/yaml/quoted.h"

namespace noonfall::sim {
namespace {

std::string text(const SettingValue& value) {
  return std::visit(
      Match{[](exposure::Shutter shutter) {
              return fmt::format("{{shutter: {}}}", exposure::to_text(shutter));
            },
            [](exposure::FNumber aperture) {
              return fmt::format("{{aperture: {}}}", exposure::to_text(aperture));
            },
            [](exposure::Iso iso) { return fmt::format("{{iso: {}}}", iso.value); },
            [](body::Drive drive) { return fmt::format("{{drive: {}}}", body::to_text(drive)); }},
      value);
}

std::string text(Setting setting) {
  static constexpr const char* words[] = {"shutter", "aperture", "iso", "drive"};
  return words[static_cast<std::size_t>(setting)];
}

/// The percentage that, read and divided by 100, is this rate again: a product may be off in its last digit.
std::string percent_text(double rate) {
  const auto product = rate * 100;
  for (const auto percent : {product, std::nextafter(product, 0), std::nextafter(product, 200)}) {
    if (percent / 100 == rate) return plan::decimal_text(percent);
  }
  return plan::decimal_text(product);
}

std::string text(const Effect& effect) {
  return std::visit(Match{[](const BusyReleases&) -> std::string { return "busy"; },
                          [](const RefusedSetting& refused) {
                            return "refused setting, setting: " +
                                   std::visit([](const auto& what) { return text(what); }, refused.what);
                          },
                          [](const LostFrame& lost) -> std::string {
                            return lost.sign == LostFrame::Sign::no_word ? "lost frame, answer: no word"
                                                                         : "lost frame, answer: unconfirmed";
                          },
                          [](const BodyGone&) -> std::string { return "gone"; },
                          [](const SlowCard& slow) {
                            return fmt::format("slow card, rate: {} %", percent_text(slow.rate));
                          }},
                    effect);
}

}  // namespace

std::string to_script(std::string_view rig, std::span<const Fault> faults) {
  std::string script = "noonfall_faults: 1\nfaults:\n";
  for (const auto& fault : faults) {
    const auto extent = fault.count ? fmt::format("count: {}", *fault.count)
                                    : fmt::format("for: {}", noonfall::to_text(fault.until - fault.from));
    script += fmt::format("  - {{rig: {}, fault: {}, from: {}, {}}}\n", yaml::quoted_if_needed(rig),
                          text(fault.effect), to_text_us(fault.from), extent);
  }
  return script;
}

}  // namespace noonfall::sim
