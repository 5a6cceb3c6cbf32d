// A sound output of this machine, by ALSA.
#pragma once

#include <memory>
#include <string>

#include "daemon/voice/sink.h"

namespace noonfall::voice {

/// `device` as ALSA names them: "default", "hw:1", "file:sound.raw,raw". Opened with the first start().
[[nodiscard]] std::unique_ptr<Sink> alsa_sink(std::string device);

}  // namespace noonfall::voice
