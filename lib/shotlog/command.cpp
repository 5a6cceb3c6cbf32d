#include "lib/shotlog/command.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include <fmt/format.h>

#include "lib/base/code_points.h"
#include "lib/base/match.h"
#include "lib/base/nearest_word.h"
#include "lib/base/number.h"

namespace noonfall::shotlog {
namespace {

constexpr std::string_view forms =
    "hold RIG, resume RIG, trim RIG -1 stop, skip STEP, filter RIG on or off, clock ok, or stop";

/// A part of the operator's words; where it points tells where it begins in them.
using Part = std::string_view;

/// Cut at the first space, or the last; the text without one is all head, or all tail. Space around the two
/// is dropped.
struct Cut {
  Part head;
  Part tail;
};

Part trimmed(Part part) {
  const auto inner = trim(part);
  return inner.empty() ? part.substr(0, 0) : inner;
}

Cut cut_at(Part part, std::size_t space) {
  return {trimmed(part.substr(0, space)), trimmed(part.substr(space))};
}

Cut first_word(Part part) {
  return cut_at(part, std::min(part.find_first_of(" \t"), part.size()));
}

Cut last_word(Part part) {
  const auto space = part.find_last_of(" \t");
  return space == Part::npos ? Cut{part.substr(0, 0), part} : cut_at(part, space);
}

bool is_control(char c) {
  const auto byte = static_cast<unsigned char>(c);
  return (byte < 0x20U && c != '\t') || byte == 0x7FU;
}

/// In quotes, and not longer than a person reads.
std::string shown(std::string_view text) {
  constexpr std::size_t longest = 64;
  return fmt::format("\"{}{}\"", first_bytes(text, longest), text.size() > longest ? "…" : "");
}

constexpr int parts = 6;  // of a stop: halves and thirds are whole numbers of them
constexpr int most = 6 * parts;

/// In sixths, sign aside.
std::optional<double> parse_size(std::string_view text) {
  const auto slash = text.find('/');
  const auto number = parse_decimal(text.substr(0, slash));
  if (!number || text.starts_with('-') || text.starts_with('+')) return std::nullopt;
  if (slash == std::string_view::npos) return *number * parts;
  const auto divisor = text.substr(slash + 1);
  if ((divisor != "2" && divisor != "3") || *number != std::floor(*number)) return std::nullopt;
  return *number * parts / (divisor == "2" ? 2 : 3);
}

/// In halves or thirds, from -6 to 6: "-1", "+0.5", "2/3", "+3/2".
std::optional<double> parse_trim(std::string_view text) {
  const bool darker = text.starts_with('-');
  if (darker || text.starts_with('+')) text.remove_prefix(1);
  const auto sixths = parse_size(text);
  if (!sixths || *sixths > most || *sixths != std::floor(*sixths)) return std::nullopt;
  const auto whole = static_cast<int>(*sixths);
  if (whole % 2 != 0 && whole % 3 != 0) return std::nullopt;
  const double stops = static_cast<double>(whole) / parts;
  return darker && whole != 0 ? -stops : stops;
}

/// "+1/3 stop", "-1.5 stops", "0 stops": always with its sign and unit.
std::string trim_text(double stops) {
  const auto sixths = std::abs(static_cast<int>(std::lround(stops * parts)));
  const char* sign = sixths == 0 ? "" : stops < 0 ? "-" : "+";
  const char* unit = sixths > 0 && sixths <= parts ? "stop" : "stops";
  if (sixths % 3 != 0) return fmt::format("{}{}/3 {}", sign, sixths / 2, unit);
  return fmt::format("{}{}{} {}", sign, sixths / parts, sixths % parts == 0 ? "" : ".5", unit);
}

class CommandReader {
 public:
  /// Without `names` any is taken.
  CommandReader(std::string_view words, const CommandNames* names)
      : words_{words}, names_{names}, rest_{trimmed(words)} {}

  Result<Command> read() {
    const auto* control = std::ranges::find_if(words_, is_control);
    if (control != words_.end()) {
      refuse({control, 0}, "control-character", "a control character in a command",
             "letters, digits and signs");
      return fail(std::move(findings_));
    }
    const auto [verb, rest] = first_word(rest_);
    rest_ = rest;
    auto command = take(verb);
    if (!findings_.empty()) return fail(std::move(findings_));
    return command;
  }

 private:
  Command take(Part verb) {
    if (verb == "hold") return Hold{rig(rest_)};
    if (verb == "resume") return Resume{rig(rest_)};
    if (verb == "trim") return take_trim();
    if (verb == "skip") return SkipStep{name("step", rest_, names_ ? &names_->steps : nullptr)};
    if (verb == "filter") return take_filter();
    if (verb == "clock") return take_clock();
    if (verb == "stop") return take_stop();
    refuse_verb(verb);
    return {};
  }

  Command take_trim() {
    const auto [before, unit] = last_word(rest_);
    const auto [name, amount] = last_word(before);
    const auto stops = unit == "stop" || unit == "stops" ? parse_trim(amount) : std::nullopt;
    if (!stops) {
      refuse(rest_, "bad-trim", fmt::format("{} doesn't end in a trim", shown(rest_)),
             fmt::format("trim RIG -1 stop, or +0.5 stops, or +1/3 stop; from -6 to 6 in halves or thirds{}",
                         rigs_hint()));
      return {};
    }
    return Trim{rig(name), *stops};
  }

  Command take_filter() {
    const auto [name, state] = last_word(rest_);
    SetFilter out{rig(name), state == "on" ? FilterState::on : FilterState::off};
    if (state != to_text(out.state)) {
      refuse(state, "bad-filter", fmt::format("a filter isn't {}", shown(state)),
             "filter RIG on, or filter RIG off");
    }
    return out;
  }

  Command take_clock() {
    if (rest_ != "ok") {
      refuse(rest_, "bad-clock", fmt::format("{} says nothing of the clock", shown(rest_)),
             "clock ok, when you have compared it with a good one");
    }
    return ClockOk{};
  }

  Command take_stop() {
    if (!rest_.empty()) {
      refuse(rest_, "bad-stop", fmt::format("{} after stop, which ends every rig", shown(rest_)),
             "stop alone; for one rig, hold RIG");
    }
    return Stop{};
  }

  std::string rig(Part part) { return name("rig", part, names_ ? &names_->rigs : nullptr); }

  std::string name(const char* what, Part part, const std::vector<std::string>* known) {
    const bool is_one = known == nullptr ? !part.empty() : std::ranges::find(*known, part) != known->end();
    if (!is_one) refuse_name(what, part, known == nullptr ? std::vector<std::string>{} : *known);
    return std::string{part};
  }

  [[nodiscard]] std::string rigs_hint() const {
    return names_ == nullptr || names_->rigs.empty() ? "" : "; the rigs are " + listed(names_->rigs);
  }

  static std::string listed(const std::vector<std::string>& names) {
    std::string all;
    for (const auto& name : names) {
      if (all.find('"' + name + '"') != std::string::npos) continue;
      all += fmt::format("{}\"{}\"", all.empty() ? "" : ", ", name);
    }
    return all;
  }

  void refuse_name(const char* what, Part part, const std::vector<std::string>& names) {
    const std::vector<std::string_view> candidates{names.begin(), names.end()};
    const auto near = nearest_word(part, candidates);
    auto hint = near.empty() ? listed(names) : fmt::format("\"{}\"", near);
    if (hint.empty()) hint = "the plan has none";
    refuse(part, std::string{"no-such-"} + what,
           part.empty() ? fmt::format("no {} is named", what)
                        : fmt::format("there is no {} {}", what, shown(part)),
           std::move(hint));
  }

  void refuse_verb(Part verb) {
    std::vector<std::string_view> known{verbs.begin(), verbs.end()};
    known.emplace_back("help");
    const auto near = nearest_word(verb, known);
    refuse(verb, "no-such-command",
           verb.empty() ? std::string{"nothing was said"} : shown(verb) + " is no command",
           near.empty() ? std::string{forms} : near);
  }

  void refuse(Part part, std::string code, std::string message, std::string hint) {
    const Part before{words_.data(), static_cast<std::size_t>(part.data() - words_.data())};
    const auto column = static_cast<int>(code_points(before)) + 1;
    findings_.push_back(error_at({1, column}, std::move(code), std::move(message), std::move(hint)));
  }

  std::string_view words_;
  const CommandNames* names_;
  Part rest_;
  Diagnostics findings_;
};

}  // namespace

std::string_view to_text(FilterState state) {
  constexpr std::array<std::string_view, 3> words{"on", "off", "unknown"};
  return words[static_cast<std::size_t>(state)];
}

const std::string* rig_of(const Command& command) {
  return std::visit(
      [](const auto& what) -> const std::string* {
        if constexpr (requires { what.rig; }) return &what.rig;
        return nullptr;
      },
      command);
}

std::string to_text(const Command& command) {
  const auto rest = std::visit(
      Match{[](const Trim& trim) { return trim.rig + ' ' + trim_text(trim.stops); },
            [](const SkipStep& skip) { return skip.step; },
            [](const SetFilter& set) { return fmt::format("{} {}", set.rig, to_text(set.state)); },
            [](const ClockOk&) { return std::string{"ok"}; }, [](const Stop&) { return std::string{}; },
            [](const auto& of_rig) { return of_rig.rig; }},
      command);
  return fmt::format("{}{}{}", verbs[command.index()], rest.empty() ? "" : " ", rest);
}

Result<Command> parse_command(std::string_view words, const CommandNames& names) {
  return CommandReader{words, &names}.read();
}

std::optional<Command> parse_logged_command(std::string_view words) {
  auto command = CommandReader{words, nullptr}.read();
  return command ? std::optional{*std::move(command)} : std::nullopt;
}

std::string_view command_list() {
  return "hold RIG           no further frame on that rig; now it can be touched\n"
         "resume RIG         it goes on, with every setting sent again\n"
         "trim RIG -1 stop   every later frame of the rig a stop darker; or +1/3 stop, +0.5 stops\n"
         "skip STEP          the rest of that step is left out, on every rig\n"
         "filter RIG on|off  what you saw of the camera filter\n"
         "clock ok           you have compared the computer's clock with a good one\n"
         "stop               no further frame at all; the daemon ends\n"
         "help               this list\n";
}

}  // namespace noonfall::shotlog
