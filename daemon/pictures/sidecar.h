// What is known of a photograph as XMP (ISO 16684-1), to lie beside it.
#pragma once

#include <string>
#include <string_view>

#include "lib/collate/collate.h"

namespace noonfall::pictures {

/// Ours; `.invalid` is nobody's (RFC 2606). docs/after.md lists the properties.
inline constexpr std::string_view xmp_namespace = "http://noonfall.invalid/ns/frame/1.0/";

/// A whole packet: title and description by Dublin Core, and in our namespace which frame it is.
[[nodiscard]] std::string to_xmp(const collate::Collation& all, const collate::Row& row);

}  // namespace noonfall::pictures
