#include "daemon/voice/renderer.h"

#include <signal.h>
#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <system_error>
#include <utility>

#include <fmt/format.h>

#include "daemon/posix/process.h"
#include "daemon/posix/text_file.h"
#include "lib/shotlog/checksum.h"

namespace noonfall::voice {
namespace {

namespace fs = std::filesystem;
using namespace std::chrono_literals;

constexpr Duration patience = 5s;
constexpr std::size_t most_bytes = 8U << 20U;  // three minutes
constexpr const char* codes[] = {"en", "es", "fr", "de"};

std::string program() {
  for (const auto* path : {"/usr/bin/espeak-ng", "/usr/local/bin/espeak-ng"}) {
    if (::access(path, X_OK) == 0) return path;
  }
  return {};
}

/// What espeak-ng would take for phonemes is read as letters.
std::string as_read(std::string words) {
  std::replace(words.begin(), words.end(), '[', ' ');
  return words;
}

tl::unexpected<Diagnostics> no_voice(std::string why, std::string hint) {
  return fail(error_at({}, "voice", std::move(why), std::move(hint)));
}

}  // namespace

Renderer::Renderer(std::string folder, plan::Language language)
    : folder_{std::move(folder)}, language_{language} {}

Result<Sound> Renderer::render(const std::string& words) const {
  const auto* code = codes[static_cast<std::size_t>(language_)];
  auto name = shotlog::sha256_text(code + words);
  std::replace(name.begin(), name.end(), ':', '-');
  const auto path = (fs::path{folder_} / (name + ".wav")).string();
  if (const auto kept = posix::read_text_file(path, most_bytes)) {
    if (auto sound = parse_wav(*kept)) return sound;
  }
  const auto espeak = program();
  if (espeak.empty()) return no_voice("espeak-ng isn't installed", "apt install espeak-ng");
  std::error_code failed;
  fs::create_directories(folder_, failed);
  const auto fresh = path + ".new";
  const auto process =
      posix::Process::start({espeak, {"-v", code, "-w", fresh, "--", as_read(words)}, folder_, {}});
  if (!process) return fail(process.error());
  if (!process->has_ended(patience)) {
    process->signal(SIGKILL);
    (void)process->has_ended(1s);
  }
  const auto end = process->end();
  if (end.exit != 0)
    return no_voice("espeak-ng " + to_text(end), "espeak-ng -v " + std::string{code} + " Test");
  const auto made = posix::read_text_file(fresh, most_bytes);
  if (!made) return fail(made.error());
  fs::rename(fresh, path, failed);
  return parse_wav(*made);
}

}  // namespace noonfall::voice
