#include "daemon/voice/alsa_sink.h"

#include <alsa/asoundlib.h>

#include <utility>

#include "daemon/posix/boot_time.h"

namespace noonfall::voice {
namespace {

constexpr unsigned latency_us = 100'000;

void say_nothing(const char* /*file*/, int /*line*/, const char* /*function*/, int /*error*/,
                 const char* /*format*/, ...) {}  // NOLINT(cert-dcl50-cpp): as the library wants it

struct Close {
  void operator()(snd_pcm_t* pcm) const { snd_pcm_close(pcm); }
};

class AlsaSink final : public Sink {
 public:
  explicit AlsaSink(std::string device) : device_{std::move(device)} {
    snd_lib_error_set_handler(say_nothing);
  }

  Result<void> start(int rate) override {
    if (!pcm_) {
      snd_pcm_t* pcm = nullptr;
      if (const int error = snd_pcm_open(&pcm, device_.c_str(), SND_PCM_STREAM_PLAYBACK, 0); error < 0)
        return failed(error);
      pcm_.reset(pcm);
    }
    const int error = snd_pcm_set_params(pcm_.get(), SND_PCM_FORMAT_S16, SND_PCM_ACCESS_RW_INTERLEAVED, 1,
                                         static_cast<unsigned>(rate), 1, latency_us);
    if (error < 0) return failed(error);
    rate_ = rate;
    return {};
  }

  BootTime next_heard() override {
    if (snd_pcm_state(pcm_.get()) == SND_PCM_STATE_PREPARED) snd_pcm_start(pcm_.get());
    snd_pcm_sframes_t waiting = 0;
    if (snd_pcm_delay(pcm_.get(), &waiting) < 0 || waiting < 0) waiting = 0;
    return posix::boot_now() + from_seconds(static_cast<double>(waiting) / rate_);
  }

  bool write(std::span<const std::int16_t> samples) override {
    while (!samples.empty()) {
      auto taken = snd_pcm_writei(pcm_.get(), samples.data(), samples.size());
      if (taken < 0) taken = snd_pcm_recover(pcm_.get(), static_cast<int>(taken), 1);
      if (taken < 0) return gone();
      samples = samples.subspan(static_cast<std::size_t>(taken));
    }
    return true;
  }

  bool finish() override { return snd_pcm_drain(pcm_.get()) >= 0 || gone(); }
  void stop() override {
    if (pcm_) snd_pcm_drop(pcm_.get());
  }

 private:
  tl::unexpected<Diagnostics> failed(int error) {
    pcm_.reset();
    return fail(error_at({}, "sound",
                         "the sound output " + device_ + " can't be used: " + snd_strerror(error),
                         "speaker-test -D " + device_));
  }
  bool gone() {
    pcm_.reset();
    return false;
  }

  std::string device_;
  std::unique_ptr<snd_pcm_t, Close> pcm_;
  int rate_ = 1;
};

}  // namespace

std::unique_ptr<Sink> alsa_sink(std::string device) {
  return std::make_unique<AlsaSink>(std::move(device));
}

}  // namespace noonfall::voice
