#include "lib/body/read_choices.h"

#include <algorithm>
#include <span>
#include <string>

#include <fmt/format.h>

#include "lib/exposure/scale.h"
#include "lib/yaml/field.h"
#include "lib/yaml/typed.h"

namespace noonfall::body {
namespace {

using exposure::FNumber;
using exposure::Iso;
using exposure::Shutter;
using yaml::Field;

/// What telling shutters, f-numbers and ISO values apart takes.
template <class T>
struct Kind {
  std::optional<T> (*parse)(std::string_view);
  std::span<const T> scale;
  std::string one;  // what a single value looks like
};

bool rises(Shutter a, Shutter b) {
  return exposure::shorter(a, b);
}
bool rises(FNumber a, FNumber b) {
  return a.tenths < b.tenths;
}
bool rises(Iso a, Iso b) {
  return a.value < b.value;
}

template <class T>
std::vector<T> read_items(const Field& field, const Kind<T>& kind) {
  std::vector<T> values;
  for (const auto& item : yaml::read_list(field, "a list of values or {from: …, to: …, by: 1/3 stop}")) {
    const auto value = yaml::read_as(item, kind.parse, kind.one);
    if (!value) continue;
    if (!values.empty() && !rises(values.back(), *value)) {
      item.error("not-rising", fmt::format("{} comes after {}", to_text(*value), to_text(values.back())),
                 "each value once, in rising order");
    }
    values.push_back(*value);
  }
  return values;
}

template <class T>
std::optional<T> read_on_scale(const Field& field, const Kind<T>& kind) {
  const auto value = yaml::read_as(field, kind.parse, kind.one);
  if (!value || std::find(kind.scale.begin(), kind.scale.end(), *value) != kind.scale.end()) return value;
  field.error("off-scale", fmt::format("{} isn't on the third-stop scale", to_text(*value)),
              fmt::format("{}, or a list of all values instead of a range",
                          to_text(exposure::nearest(*value, kind.scale)->value)));
  return std::nullopt;
}

template <class T>
std::vector<T> read_range(const Field& field, const Kind<T>& kind) {
  yaml::MapReader map{field, field.name()};
  const auto from = read_on_scale(map.required("from"), kind);
  const auto to_field = map.required("to");
  const auto to = read_on_scale(to_field, kind);
  constexpr yaml::Choice<std::ptrdiff_t> steps[] = {{"1/3 stop", 1}, {"1 stop", 3}};
  const auto by = yaml::read_choice(map.required("by"), steps);
  map.finish();
  if (!from || !to || !by) return {};
  if (!rises(*from, *to)) {
    to_field.error("not-rising", fmt::format("{} isn't above {}", to_text(*to), to_text(*from)),
                   "\"from\" the smallest value, \"to\" the largest");
    return {};
  }
  const auto all = exposure::within(kind.scale, *from, *to);
  std::vector<T> values;
  for (std::size_t i = 0; i < all.size(); i += static_cast<std::size_t>(*by)) values.push_back(all[i]);
  return values;
}

template <class T>
std::vector<T> read_choices(const Field& field, const Kind<T>& kind) {
  if (!field) return {};
  return field.is_mapping() ? read_range(field, kind) : read_items(field, kind);
}

}  // namespace

std::vector<Shutter> read_shutters(const Field& field) {
  return read_choices(field, Kind<Shutter>{exposure::parse_shutter, exposure::third_stop_shutters(),
                                           "a shutter time like 1/2000 or 2 s"});
}

std::vector<FNumber> read_apertures(const Field& field) {
  return read_choices(field, Kind<FNumber>{exposure::parse_f_number, exposure::third_stop_f_numbers(),
                                           "an f-number like f/5.6"});
}

std::vector<Iso> read_isos(const Field& field) {
  return read_choices(field,
                      Kind<Iso>{exposure::parse_iso, exposure::third_stop_isos(), "an ISO value like 400"});
}

}  // namespace noonfall::body
