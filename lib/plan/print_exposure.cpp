#include <fmt/format.h>

#include "lib/plan/instant_text.h"
#include "lib/plan/print_parts.h"

namespace noonfall::plan {
namespace {

std::string to_yaml(exposure::Shutter shutter) {
  return exposure::to_text(shutter);
}
std::string to_yaml(exposure::FNumber aperture) {
  return exposure::to_text(aperture);
}
std::string to_yaml(exposure::Iso iso) {
  return fmt::format("{}", iso.value);
}

template <class T>
std::string to_yaml(const Limits<T>& limits) {
  if (limits.low == limits.high) return to_yaml(limits.low);
  return fmt::format("{} to {}", to_yaml(limits.low), to_yaml(limits.high));
}

struct ShapePrinter {
  Braces& braces;

  void operator()(const CentredBracket& bracket) const {
    braces.add("frames", fmt::format("{}", bracket.frames));
    braces.add("by", to_text(bracket.by));
  }
  void operator()(const LadderBracket& bracket) const {
    braces.add("from", to_yaml(bracket.from));
    braces.add("to", to_yaml(bracket.to));
    braces.add("by", to_text(bracket.by));
  }
  void operator()(const ListBracket& bracket) const {
    std::string list;
    for (const auto shutter : bracket.shutters) list += (list.empty() ? "" : ", ") + to_yaml(shutter);
    braces.add("shutters", '[' + list + ']');
  }
};

}  // namespace

void Braces::add(std::string_view key, std::string_view value) {
  inside_ += fmt::format("{}{}: {}", inside_.empty() ? "" : ", ", key, value);
}

void Lines::add(std::string_view key, std::string_view value) {
  text_ += fmt::format("    {}: {}\n", key, value);
}

void add_exposure(Braces& braces, const ExposureChoice& choice) {
  if (choice.shutter) braces.add("shutter", to_yaml(*choice.shutter));
  if (choice.aperture) braces.add("aperture", to_yaml(*choice.aperture));
  if (choice.iso) braces.add("iso", to_yaml(*choice.iso));
}

void add_bracket(Braces& braces, const Bracket& bracket) {
  std::visit(ShapePrinter{braces}, bracket.shape);
  if (bracket.order == BracketOrder::long_first) braces.add("order", "long first");
  if (bracket.order == BracketOrder::mirrored) braces.add("order", "mirrored");
  if (bracket.in_body) braces.add("in body", "true");
}

}  // namespace noonfall::plan
