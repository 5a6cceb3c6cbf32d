#include "daemon/status/keys.h"

#include <cstdlib>
#include <utility>

#include <fmt/format.h>

namespace noonfall::status {
namespace {

constexpr std::size_t most_at_once = 3;  // keys pressed while the program was busy; more were pasted
constexpr char escape = '\x1b';
constexpr std::string_view usual =
    "keys: 1-9 rig, h hold, r resume, +- trim, f/F filter on/off, s skip, c clock, ?";

}  // namespace

std::optional<std::string> Keys::take(std::string_view bytes, const StatusFacts& facts) {
  if (bytes.empty()) return std::nullopt;
  said_.clear();
  if (bytes.front() == escape) {  // alone, or what arrows and the like send
    forget();
    return std::nullopt;
  }
  if (bytes.size() > most_at_once) {
    forget();
    said_ = "that was too much at once to be keys: nothing was done";
    return std::nullopt;
  }
  std::optional<std::string> command;
  for (const char key : bytes) {
    if (auto confirmed = press(key, facts)) command = std::move(confirmed);
  }
  return command;
}

std::optional<std::string> Keys::press(char key, const StatusFacts& facts) {
  if (key == '\r' || key == '\n') {
    auto command = std::exchange(asked_, {});
    forget();
    return command.empty() ? std::nullopt : std::optional{std::move(command)};
  }
  if (rig_ >= facts.rigs.size()) rig_ = 0;
  const bool trims = key == '+' || key == '-';
  if (!trims || asked_.rfind("trim ", 0) != 0) forget();
  if (key == '?') help_ = !help_;
  if (key == 'n') night_ = !night(facts);
  if (key == 'c') ask("clock ok");
  if (key >= '1' && key <= '9' && static_cast<std::size_t>(key - '1') < facts.rigs.size())
    rig_ = static_cast<std::size_t>(key - '1');
  if (facts.rigs.empty()) return std::nullopt;
  const auto& rig = facts.rigs[rig_];
  if (trims) ask_to_trim(key == '+' ? 1 : -1, rig.rig);
  if (key == 's') ask_to_skip(rig);
  if (key == 't') ask_for_proposed(rig);
  ask_of_rig(key, rig.rig);
  return std::nullopt;
}

void Keys::ask_of_rig(char key, const std::string& rig) {
  if (key == 'h') ask("hold " + rig);
  if (key == 'r') ask("resume " + rig);
  if (key == 'f') ask(fmt::format("filter {} on", rig));
  if (key == 'F') ask(fmt::format("filter {} off", rig));
}

/// Pressed again, by a further third.
void Keys::ask_to_trim(double third, const std::string& rig) {
  thirds_ += third > 0 ? 1 : -1;
  if (thirds_ == 0) return forget();
  const bool whole = thirds_ % 3 == 0;
  ask(fmt::format("trim {} {}{}{} stops", rig, thirds_ > 0 ? '+' : '-',
                  whole ? std::abs(thirds_) / 3 : std::abs(thirds_), whole ? "" : "/3"));
}

void Keys::ask_to_skip(const RigStatus& rig) {
  const auto& step = rig.step.empty() ? rig.next_step : rig.step;
  if (step.empty()) {
    said_ = fmt::format("{} has no step left to skip", rig.rig);
    return;
  }
  ask("skip " + step);
}

void Keys::ask_for_proposed(const RigStatus& rig) {
  if (rig.proposed_trim) return ask(to_text(shotlog::Command{shotlog::Trim{rig.rig, *rig.proposed_trim}}));
  said_ = fmt::format("no trim is proposed for {}", rig.rig);
}

void Keys::ask(std::string command) {
  asked_ = std::move(command);
}

void Keys::forget() {
  asked_.clear();
  thirds_ = 0;
}

void Keys::answered(bool carried_out, const std::string& words) {
  said_ = (carried_out ? "done: " : "NOT done: ") + words;
}

bool Keys::night(const StatusFacts& facts) const {
  return night_.value_or(facts.in_totality.has_value());
}

KeyWords Keys::words() const {
  KeyWords out;
  out.rig = rig_;
  out.asks = !asked_.empty();
  out.line = out.asks ? fmt::format("{}?  Enter does it, any other key leaves it", asked_) : said_;
  if (out.line.empty()) out.line = usual;
  if (help_) {
    out.help = {"1-9 choose the rig that keys are about; Enter carries out what a key asks",
                "h hold  r resume  + - trim by 1/3 stop  t trim as proposed  s skip its step",
                "f the camera filter is on, F it is off, as you saw it",
                "c you vouch for the clock  n night colours  ? this  Ctrl-C ends the run",
                "all else: noonfalld --tell help"};
  }
  return out;
}

}  // namespace noonfall::status
