#include "lib/run/command_text.h"

#include <algorithm>
#include <optional>

#include <fmt/format.h>

#include "lib/base/code_points.h"
#include "lib/base/nearest_word.h"
#include "lib/base/number.h"
#include "lib/run/trim_text.h"

namespace noonfall::run {
namespace {

using shotlog::FilterState;

constexpr std::string_view forms =
    "hold RIG, resume RIG, trim RIG -1 stop, skip STEP, filter RIG on or off, clock ok, or stop";

/// A part of the operator's words, and where it begins in them.
struct Part {
  std::string_view text;
  std::size_t at = 0;  // in bytes
};

/// Cut at the first space, or the last; the text without one is all head, or all tail. Space around the two
/// is dropped.
struct Cut {
  Part head;
  Part tail;
};

Part trimmed(Part part) {
  const auto text = trim(part.text);
  return {text, part.at + (text.empty() ? 0 : static_cast<std::size_t>(text.data() - part.text.data()))};
}

Cut cut_at(Part part, std::size_t space) {
  return {trimmed({part.text.substr(0, space), part.at}),
          trimmed({part.text.substr(space), part.at + space})};
}

Cut first_word(Part part) {
  return cut_at(part, std::min(part.text.find_first_of(" \t"), part.text.size()));
}

Cut last_word(Part part) {
  const auto space = part.text.find_last_of(" \t");
  return space == std::string_view::npos ? Cut{{{}, part.at}, part} : cut_at(part, space);
}

bool is_control(char c) {
  const auto byte = static_cast<unsigned char>(c);
  return (byte < 0x20U && c != '\t') || byte == 0x7FU;
}

/// In quotes, and not longer than a person reads.
std::string shown(std::string_view text) {
  constexpr std::size_t longest = 64;
  if (text.size() <= longest) return fmt::format("\"{}\"", text);
  auto end = longest;
  while (end > 0 && continues_code_point(text[end])) --end;
  return fmt::format("\"{}…\"", text.substr(0, end));
}

class CommandReader {
 public:
  CommandReader(std::string_view words, const CommandNames& names)
      : words_{words}, names_{names}, rest_{trimmed({words, 0})} {}

  Result<Command> read() {
    if (const auto control = std::find_if(words_.begin(), words_.end(), is_control);
        control != words_.end()) {
      const auto at = static_cast<std::size_t>(control - words_.begin());
      refuse({{}, at}, "control-character", "a control character in a command", "letters, digits and signs");
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
    if (verb.text == "hold") return with_rig<Hold>("hold");
    if (verb.text == "resume") return with_rig<Resume>("resume");
    if (verb.text == "trim") return take_trim();
    if (verb.text == "skip") return take_skip();
    if (verb.text == "filter") return take_filter();
    if (verb.text == "clock") return take_clock();
    if (verb.text == "stop") return take_stop();
    refuse_verb(verb);
    return {};
  }

  template <class OfOneRig>
  Command with_rig(const char* verb) {
    const auto rig = find_rig(rest_);
    return {fmt::format("{} {}", verb, name_of(rig)), OfOneRig{rig}};
  }

  Command take_trim() {
    const auto [before, unit] = last_word(rest_);
    const auto [name, amount] = last_word(before);
    const auto stops = unit.text == "stop" || unit.text == "stops" ? parse_trim(amount.text) : std::nullopt;
    if (!stops) {
      refuse(rest_, "bad-trim", fmt::format("{} doesn't end in a trim", shown(rest_.text)),
             fmt::format("trim RIG -1 stop, or +0.5 stops, or +1/3 stop; from -6 to 6 in halves or thirds{}",
                         rigs_hint()));
      return {};
    }
    const auto rig = find_rig(name);
    return {fmt::format("trim {} {}", name_of(rig), trim_text(*stops)), Trim{rig, *stops}};
  }

  Command take_skip() {
    const auto found = std::find(names_.steps.begin(), names_.steps.end(), rest_.text);
    if (found == names_.steps.end()) refuse_name("step", rest_, names_.steps);
    return {fmt::format("skip {}", rest_.text), SkipStep{std::string{rest_.text}}};
  }

  Command take_filter() {
    const auto [name, state] = last_word(rest_);
    const auto rig = find_rig(name);
    const bool on = state.text == "on";
    if (!on && state.text != "off") {
      refuse(state, "bad-filter", fmt::format("a filter isn't {}", shown(state.text)),
             "filter RIG on, or filter RIG off");
    }
    return {fmt::format("filter {} {}", name_of(rig), on ? "on" : "off"),
            SetFilter{rig, on ? FilterState::on : FilterState::off}};
  }

  Command take_clock() {
    if (rest_.text != "ok") {
      refuse(rest_, "bad-clock", fmt::format("{} says nothing of the clock", shown(rest_.text)),
             "clock ok, when you have compared it with a good one");
    }
    return {"clock ok", ClockOk{}};
  }

  Command take_stop() {
    if (!rest_.text.empty()) {
      refuse(rest_, "bad-stop", fmt::format("{} after stop, which ends every rig", shown(rest_.text)),
             "stop alone; for one rig, hold RIG");
    }
    return {"stop", Stop{}};
  }

  std::int32_t find_rig(Part name) {
    const auto found = std::find(names_.rigs.begin(), names_.rigs.end(), name.text);
    if (found == names_.rigs.end()) refuse_name("rig", name, names_.rigs);
    return static_cast<std::int32_t>(found - names_.rigs.begin());
  }

  [[nodiscard]] std::string name_of(std::int32_t rig) const {
    const auto index = static_cast<std::size_t>(rig);
    return index < names_.rigs.size() ? names_.rigs[index] : std::string{};
  }

  [[nodiscard]] std::string rigs_hint() const {
    return names_.rigs.empty() ? std::string{} : "; the rigs are " + listed(names_.rigs);
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
    const auto near = nearest_word(part.text, candidates);
    auto hint = near.empty() ? listed(names) : fmt::format("\"{}\"", near);
    if (hint.empty()) hint = "the plan has none";
    refuse(part, std::string{"no-such-"} + what,
           part.text.empty() ? fmt::format("no {} is named", what)
                             : fmt::format("there is no {} {}", what, shown(part.text)),
           std::move(hint));
  }

  void refuse_verb(Part verb) {
    constexpr std::string_view verbs[] = {"hold",   "resume", "trim", "skip",
                                          "filter", "clock",  "stop", "help"};
    const auto near = nearest_word(verb.text, verbs);
    refuse(verb, "no-such-command",
           verb.text.empty() ? std::string{"nothing was said"} : shown(verb.text) + " is no command",
           near.empty() ? std::string{forms} : near);
  }

  void refuse(Part part, std::string code, std::string message, std::string hint) {
    const auto column = static_cast<int>(code_points(words_.substr(0, part.at))) + 1;
    findings_.push_back(error_at({1, column}, std::move(code), std::move(message), std::move(hint)));
  }

  std::string_view words_;
  const CommandNames& names_;
  Part rest_;
  Diagnostics findings_;
};

}  // namespace

Result<Command> parse_command(std::string_view words, const CommandNames& names) {
  return CommandReader{words, names}.read();
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

}  // namespace noonfall::run
