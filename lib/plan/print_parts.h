// The pieces print puts a plan together from.
#pragma once

#include <string>
#include <string_view>

#include "lib/plan/plan.h"

namespace noonfall::plan {

/// "{key: value, key: value}"; the values are YAML already.
class Braces {
 public:
  void add(std::string_view key, std::string_view value);
  [[nodiscard]] bool empty() const { return inside_.empty(); }
  [[nodiscard]] std::string text() const { return '{' + inside_ + '}'; }

 private:
  std::string inside_;
};

/// "key: value" lines of an entry that is indented by four.
class Lines {
 public:
  void add(std::string_view key, std::string_view value);
  [[nodiscard]] std::string text() const { return text_; }

 private:
  std::string text_;
};

void add_exposure(Braces& braces, const ExposureChoice& choice);
void add_bracket(Braces& braces, const Bracket& bracket);

[[nodiscard]] std::string print(const Rig& rig);
[[nodiscard]] std::string print(const Step& step);

}  // namespace noonfall::plan
