// The values a body offers, as a list or as a range on the third-stop scale.
#pragma once

#include <vector>

#include "lib/exposure/exposure.h"
#include "lib/yaml/field.h"

namespace noonfall::body {

/// `[1/8000, 1/4000, 1/2000]`, in rising order, or `{from: 1/8000, to: 30 s, by: 1/3 stop}`, by 1/3 stop or
/// 1 stop. An absent field gives an empty list; so does one with errors.
[[nodiscard]] std::vector<exposure::Shutter> read_shutters(const yaml::Field& field);
[[nodiscard]] std::vector<exposure::FNumber> read_apertures(const yaml::Field& field);
[[nodiscard]] std::vector<exposure::Iso> read_isos(const yaml::Field& field);

}  // namespace noonfall::body
