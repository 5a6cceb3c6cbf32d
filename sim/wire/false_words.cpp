#include "sim/wire/false_words.h"

#include <limits>
#include <type_traits>

namespace noonfall::wire {
namespace {

/// Of the same type, as long as it is a number.
Value with_bits(const Value& like, std::uint64_t bits) {
  return std::visit(
      [&](const auto& old) -> Value {
        using Type = std::decay_t<decltype(old)>;
        if constexpr (std::is_same_v<Type, std::string>)
          return old;
        else
          return static_cast<Type>(bits);
      },
      like);
}

}  // namespace

void make_false(PropertyDescription& description, FalseWords::About about) {
  constexpr std::uint64_t ones = std::numeric_limits<std::uint64_t>::max();
  constexpr std::uint64_t never_offered = 0x5B;
  auto* choices = std::get_if<ValueList>(&description.form);
  if (choices == nullptr) return;
  const auto all_are = [&](std::uint64_t bits) {
    for (auto& choice : *choices) choice = with_bits(choice, bits);
  };
  using About = FalseWords::About;
  if (about == About::no_choices) choices->clear();
  if (about == About::choices_of_zeros) all_are(0);
  if (about == About::choices_of_ones) all_are(ones);
  constexpr std::uint64_t many = 10'000;
  if (about == About::many_choices) {
    for (std::uint64_t n = 0; n < many; ++n) choices->push_back(with_bits(description.current, n));
  }
  if (about == About::current_value) description.current = with_bits(description.current, never_offered);
}

}  // namespace noonfall::wire
