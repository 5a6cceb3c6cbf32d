// The bytes that draw the screen's rows in place at the end of a terminal, what has left them scrolling
// above.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "daemon/status/screen.h"

namespace noonfall::status {

enum class Paint { plain, colour, night };

/// `rows_drawn` is how many rows the last frame left above the cursor. Nothing is hidden or switched, so a
/// terminal that sees no further frame is as it should be.
[[nodiscard]] std::string terminal_frame(std::size_t rows_drawn, const std::vector<std::string>& leaving,
                                         const std::vector<Row>& rows, Paint paint);

}  // namespace noonfall::status
