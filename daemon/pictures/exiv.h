// The metadata library, made ready for several threads.
#pragma once

namespace noonfall::pictures {

/// Once for all: what it complains of isn't printed, and the part of it that isn't safe gets its lock.
void initialise_exiv();

}  // namespace noonfall::pictures
