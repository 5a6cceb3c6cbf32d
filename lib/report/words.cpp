#include "lib/report/words.h"

#include <numeric>

#include <fmt/format.h>

#include "lib/time/utc_text.h"

namespace noonfall::report {
namespace {

std::string joined(const std::vector<std::string>& parts) {
  std::string out;
  for (std::size_t n = 0; n < parts.size(); ++n)
    out += fmt::format("{}{}", n == 0 ? "" : n + 1 == parts.size() ? " and " : ", ", parts[n]);
  return out;
}

struct Words {
  std::string operator()(const shotlog::BodyNews& fault) const {
    return fmt::format("{}: {}", fault.rig, fault.why.empty() ? "the body is back" : fault.why);
  }
  std::string operator()(const shotlog::CueLine& cue) const {
    const auto how = !cue.why.empty()                 ? cue.why
                     : cue.filter && cue.filter->late ? (cue.printed ? "printed late" : "spoken late")
                     : cue.printed                    ? "printed"
                                                      : "spoken";
    return fmt::format("\"{}\" {}", cue.words, how);
  }
  std::string operator()(const shotlog::ClockLine& clock) const {
    return clock.why.empty() ? "" : "clock: " + clock.why;
  }
  std::string operator()(const shotlog::CommandLine& command) const {
    return fmt::format("operator: {}{}", shotlog::to_text(command.command),
                       command.why.empty() ? "" : " (" + command.why + ")");
  }
  std::string operator()(const shotlog::Amendment& amendment) const {
    return "plan amended: " + amendment.why;
  }
  std::string operator()(const shotlog::FilterChange& change) const {
    return fmt::format("camera filter of {} {}, {}{}", change.rig, to_text(change.state),
                       change.confirmed ? "confirmed" : "assumed",
                       change.why.empty() ? "" : ": " + change.why);
  }
  std::string operator()(const shotlog::Skip& skip) const {
    return fmt::format("{}, {}: left out, {}", skip.frame.rig, skip.frame.step, why_of(skip));
  }
  std::string operator()(const shotlog::Header& header) const { return "the log begins: " + header.title; }
  std::string operator()(const shotlog::Ended& ended) const { return std::string{sentence(ended.how)}; }
  std::string operator()(const shotlog::Look& look) const {
    return fmt::format("picture of {}: {}", look.rig, look.words);
  }
  std::string operator()(const shotlog::Note& note) const { return note.words; }
  std::string operator()(const auto& /*of one frame*/) const { return {}; }
};

}  // namespace

std::string clock_text(Utc instant, const LocalClock& local) {
  return local ? local(instant) : to_clock_text(instant, 1);
}

std::string when(Utc instant, const LocalClock& local) {
  const auto utc = to_clock_text(instant, 1);
  return local ? fmt::format("{} ({} UTC)", local(instant), utc) : utc + " UTC";
}

std::string mode_text(shotlog::Mode mode) {
  return mode == shotlog::Mode::event   ? "the event"
         : mode == shotlog::Mode::dress ? "a dress rehearsal"
                                        : "a rehearsal on simulated bodies";
}

std::string edge_text(const shotlog::Header& header) {
  if (header.kind != contacts::Kind::total && header.kind != contacts::Kind::annular) return {};
  return header.limb == "profile" ? "C2 and C3 follow the mountains of the Moon's edge."
                                  : "C2 and C3 are of the mean limb, a Moon without mountains.";
}

std::vector<std::string> remarks(const Summary& summary) {
  std::vector<std::string> out;
  if (!summary.complete)
    out.emplace_back(
        "The log ends before the plan does: the run was cut off or is still going. What comes after isn't "
        "judged.");
  if (summary.torn_tail)
    out.emplace_back("The last line was torn, as after a power cut; everything before it is sound.");
  if (summary.damaged_lines == 1) out.emplace_back("1 line of the log is damaged and was left out.");
  if (summary.damaged_lines > 1)
    out.push_back(fmt::format("{} lines of the log are damaged and were left out.", summary.damaged_lines));
  return out;
}

std::string words_of(const shotlog::Entry& entry) {
  return std::visit(Words{}, entry);
}

std::string use_text(const TotalityUse& use) {
  const auto so_far =
      use.lasts < use.in_all ? fmt::format("first {:.1f} of the ", in_seconds(use.lasts)) : std::string{};
  return fmt::format("{:.0f} % of the {}{:.1f} s of totality in use, {} frames", use.per_cent(), so_far,
                     in_seconds(use.in_all), use.frames);
}

std::string to_noise_text(double to_noise) {
  return to_noise < 9.95 ? fmt::format("{:.1f}", to_noise) : fmt::format("{:.0f}", to_noise);
}

std::string card_text(const CardContent& card) {
  std::vector<std::string> kinds;
  int files = 0;
  for (const auto& [ending, count] : card.files) {
    files += count;
    kinds.push_back(fmt::format("{} {}", count, ending.empty() ? "without an ending" : ending));
  }
  auto out = fmt::format("{} frames", card.frames);
  if (files > 0) out += fmt::format(": {} files ({}), {} to {}", files, joined(kinds), card.first, card.last);
  if (files == 0 && card.frames > 0) out += ", whose files the body didn't name";
  if (card.uncertain > 0) out += fmt::format("; {} more may be there", card.uncertain);
  return out;
}

std::string darks_text(const CardContent& card) {
  std::vector<std::string> parts;
  for (const auto& dark : card.darks)
    parts.push_back(exposure::to_text(dark.shutter) + " " + exposure::to_text(dark.iso));
  return joined(parts);
}

std::string flats_text(const CardContent& card) {
  std::vector<std::string> parts;
  for (const auto& flat : card.flats)
    parts.push_back((flat.aperture ? exposure::to_text(*flat.aperture) : "the lens as it was") + " " +
                    exposure::to_text(flat.iso));
  return joined(parts);
}

int never_asked(const Summary& summary) {
  return std::accumulate(summary.steps.begin(), summary.steps.end(), 0,
                         [](int sum, const StepSummary& step) { return sum + step.never_asked; });
}

}  // namespace noonfall::report
