// What std::visit is given: one lambda for each case of a variant.
#pragma once

namespace noonfall {

template <class... F>
struct Match : F... {
  using F::operator()...;
};
template <class... F>
Match(F...) -> Match<F...>;  // C++20 knows it by itself, clang 14 doesn't

}  // namespace noonfall
