#include "lib/plan/cross_references.h"

#include <algorithm>
#include <string_view>
#include <unordered_map>
#include <vector>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "lib/base/nearest_word.h"
#include "lib/plan/mirror.h"

namespace noonfall::plan {
namespace {

/// Names to choose from: the nearest one, or a few of them.
std::string offer(std::string_view name, const std::vector<std::string_view>& names) {
  constexpr std::size_t most_listed = 10;
  auto nearest = nearest_word(name, names);
  if (!nearest.empty()) return nearest;
  if (names.empty()) return "the name of another step";
  const auto listed = std::min(names.size(), most_listed);
  if (names.size() == 1) return std::string{names.front()};
  return fmt::format("one of {}{}",
                     fmt::join(names.begin(), names.begin() + static_cast<std::ptrdiff_t>(listed), ", "),
                     names.size() > listed ? ", …" : "");
}

class References {
 public:
  explicit References(const Plan& plan) : plan_{plan} {
    for (const auto& rig : plan.rigs) rigs_.push_back(rig.name);
    for (const auto& step : plan.steps) {
      if (step.name.empty()) continue;
      const auto [first, fresh] = steps_.emplace(step.name, &step);
      if (!fresh) {
        add(step.mark, "duplicate-name",
            fmt::format("step \"{}\" for the second time, first in line {}", step.name,
                        first->second->mark.line),
            "a name of its own for each step");
      }
    }
  }

  Diagnostics run() {
    for (const auto& step : plan_.steps) {
      check_rigs(step);
      if (const auto* mirror = std::get_if<MirrorOf>(&step.what)) check_mirror(step, *mirror);
    }
    return std::move(findings_);
  }

 private:
  void check_rigs(const Step& step) {
    if (rigs_.empty()) return;
    for (const auto& name : step.rigs) {
      if (std::find(rigs_.begin(), rigs_.end(), name) != rigs_.end()) continue;
      add(step.rigs_mark, "unknown-rig", fmt::format("there is no rig \"{}\"", name), offer(name, rigs_));
    }
  }

  void check_mirror(const Step& step, const MirrorOf& mirror) {
    if (mirror.step.empty()) return;
    if (mirror.step == step.name) {
      add(mirror.mark, "mirror-of-itself", fmt::format("step \"{}\" mirrors itself", step.name),
          "the name of another step");
      return;
    }
    const auto original = steps_.find(mirror.step);
    if (original == steps_.end()) {
      add(mirror.mark, "unknown-step", fmt::format("there is no step \"{}\"", mirror.step),
          offer(mirror.step, steps_to_mirror(step)));
    } else if (const auto* chained = std::get_if<MirrorOf>(&original->second->what)) {
      add(mirror.mark, "mirror-of-mirror", fmt::format("step \"{}\" is itself a mirror", mirror.step),
          fmt::format("the step it mirrors, {}, or a step written out", chained->step));
    } else {
      const auto unmirrorable = instants_without_mirror(*original->second, step.name);
      findings_.insert(findings_.end(), unmirrorable.begin(), unmirrorable.end());
    }
  }

  [[nodiscard]] std::vector<std::string_view> steps_to_mirror(const Step& mirror) const {
    std::vector<std::string_view> names;
    for (const auto& step : plan_.steps) {
      const bool mirrors = std::holds_alternative<MirrorOf>(step.what);
      if (!step.name.empty() && step.name != mirror.name && !mirrors) names.push_back(step.name);
    }
    return names;
  }

  void add(Mark mark, std::string code, std::string message, std::string hint) {
    findings_.push_back(error_at(mark, std::move(code), std::move(message), std::move(hint)));
  }

  const Plan& plan_;
  std::vector<std::string_view> rigs_;
  std::unordered_map<std::string_view, const Step*> steps_;
  Diagnostics findings_;
};

}  // namespace

Diagnostics wrong_references(const Plan& plan) {
  return References{plan}.run();
}

}  // namespace noonfall::plan
