// An exposure in JSON: {"shutter": "1/1600", "aperture": "f/8", "iso": 400}, or the three as a list with null
// for an aperture that the body can't set. Only for .cpp files.
#pragma once

#include "lib/exposure/exposure.h"
#include "lib/json/encodings.h"

namespace noonfall::json {

template <>
struct Usual<exposure::Shutter> : Spelled<exposure::parse_shutter> {
  Usual() : Spelled{"a shutter time like \"1/500\" or \"2 s\""} {}
};
template <>
struct Usual<exposure::FNumber> : Spelled<exposure::parse_f_number> {
  Usual() : Spelled{"an f-number like \"f/5.6\""} {}
};
template <>
struct Usual<exposure::Iso> {
  [[nodiscard]] Json write(exposure::Iso iso) const { return iso.value; }
  void read(const Found& found, exposure::Iso& iso) const { Whole{6, 409'600}.read(found, iso.value); }
};

}  // namespace noonfall::json

namespace noonfall::exposure {

void fields(auto& io, json::Like<Exposure> auto& it) {
  io("shutter", it.shutter);
  io.maybe("aperture", it.aperture);
  io("iso", it.iso);
}

}  // namespace noonfall::exposure
