// Single keys as an operator's commands: a key says what it would do, Enter does it.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

#include "daemon/status/facts.h"
#include "daemon/status/screen.h"

namespace noonfall::status {

/// Nothing is carried out by one key alone, and nothing that was pasted at all.
class Keys {
 public:
  /// What came from the terminal in one piece, to a screen that shows `facts`. A command in the words of
  /// `noonfalld --tell`, when one was confirmed.
  [[nodiscard]] std::optional<std::string> take(std::string_view bytes, const StatusFacts& facts);
  /// What became of it.
  void answered(bool carried_out, const std::string& words);

  [[nodiscard]] KeyWords words() const;
  /// Red on black: as a person chose by key, else in totality.
  [[nodiscard]] bool night(const StatusFacts& facts) const;

 private:
  [[nodiscard]] std::optional<std::string> press(char key, const StatusFacts& facts);
  void ask(std::string command);
  void ask_of_rig(char key, const std::string& rig);
  void ask_to_trim(double third, const std::string& rig);
  void ask_to_skip(const RigStatus& rig);
  void ask_for_proposed(const RigStatus& rig);
  void forget();

  std::size_t rig_ = 0;
  std::string asked_;  // a command that waits for Enter; empty for none
  int thirds_ = 0;     // of a trim that is asked
  std::string said_;   // what became of the last one
  bool help_ = false;
  std::optional<bool> night_;
};

}  // namespace noonfall::status
