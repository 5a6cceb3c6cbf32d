#include "tests/scenario/reliability_page.h"

#include <algorithm>
#include <set>

#include <fmt/format.h>

namespace noonfall::scenario {
namespace {

constexpr std::size_t most_words = 4;  // the expected log has all

std::string without(std::string words, std::string_view start) {
  return words.starts_with(start) ? words.substr(start.size()) : words;
}

/// Each once, with how often it came in all, without the rig's and the step's name.
std::string told(const Day& day, const Day& ordinary) {
  std::vector<std::pair<std::string, int>> all;
  for (const auto& each : unusual(day, ordinary)) {
    auto words = without(without(each.words, "ALARM "), "long: ");
    for (const auto* step : {"corona, ", "crescent in, ", "crescent out, "}) words = without(words, step);
    const auto same =
        std::find_if(all.begin(), all.end(), [&](const auto& one) { return one.first == words; });
    if (same != all.end()) {
      same->second += each.times;
    } else {
      all.emplace_back(words, each.times);
    }
  }
  if (all.empty()) return "nothing";
  std::string text;
  for (std::size_t n = 0; n < std::min(all.size(), most_words); ++n) {
    const auto& [words, times] = all[n];
    text += (n > 0 ? "<br>" : "") + words + (times > 1 ? fmt::format(" ({} times)", times) : "");
  }
  return text + (all.size() > most_words ? "<br>…" : "");
}

std::string lost(const Day& day, const Day& ordinary) {
  const auto usual = ordinary.pictures();
  return fmt::format("{} of {}", usual - std::min(usual, day.pictures()), usual);
}

/// From when nothing is wrong any more to the rig's next picture.
std::string shoots_again(const Scenario& scenario, const Day& day, const Day& ordinary) {
  if (day.pictures() >= ordinary.pictures()) return "";
  const auto over = day.c2() + scenario.over;
  const auto& taken = day.taken.front();
  const auto next =
      std::find_if(taken.begin(), taken.end(), [&](const auto& picture) { return picture.opened >= over; });
  return next == taken.end() ? "not that day" : fmt::format("{:.1f} s", in_seconds(next->opened - over));
}

constexpr std::string_view begin_mark = "<!-- the campaign's rows -->\n";
constexpr std::string_view end_mark = "<!-- to here -->";

}  // namespace

std::string row_of(const Scenario& scenario, const Day& day) {
  const auto& ordinary = ordinary_day(scenario);
  return fmt::format("| {} | {} | {} | {} | {} | {} |\n", scenario.number, scenario.topic, scenario.fault,
                     told(day, ordinary), lost(day, ordinary), shoots_again(scenario, day, ordinary));
}

std::string with_rows(const std::string& page, const std::string& rows) {
  const auto begin = page.find(begin_mark);
  const auto end = page.find(end_mark);
  if (begin == std::string::npos || end == std::string::npos) return {};
  return page.substr(0, begin + begin_mark.size()) + rows + page.substr(end);
}

}  // namespace noonfall::scenario
