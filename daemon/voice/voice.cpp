#include "daemon/voice/voice.h"

#include <signal.h>

#include <algorithm>
#include <condition_variable>
#include <deque>
#include <mutex>
#include <set>
#include <thread>
#include <utility>

#include "daemon/posix/boot_time.h"
#include "daemon/posix/process.h"
#include "daemon/voice/renderer.h"
#include "lib/run/cue_speaker.h"

namespace noonfall::voice {
namespace {

using namespace std::chrono_literals;

constexpr Duration wakes_output = 50ms;  // silence that sleeping outputs swallow
constexpr Duration at_a_time = 20ms;
constexpr auto try_again = 10s;  // an output that is gone
constexpr auto to_end = 1s;
constexpr const char* too_late = "its time had passed";
constexpr const char* cut_off = "cut off by words on a camera filter";

}  // namespace

class Voice::Speaker {
 public:
  Speaker(VoiceSettings settings, Tell tell)
      : settings_{std::move(settings)},
        tell_{std::move(tell)},
        renderer_{settings_.folder, settings_.language} {}

  void prepare(std::vector<std::string> words) {
    const std::scoped_lock lock{mutex_};
    words_ = std::move(words);
    next_ = 0;
    changed_.notify_all();
  }

  void say(Utterance utterance) {
    const std::scoped_lock lock{mutex_};
    const auto before = utterance.first ? std::find_if(waiting_.begin(), waiting_.end(),
                                                       [](const auto& other) { return !other.first; })
                                        : waiting_.end();
    waiting_.insert(before, std::move(utterance));
    changed_.notify_all();
  }

  void work() {
    std::unique_lock lock{mutex_};
    while (!ending_) {
      if (!waiting_.empty()) {
        auto utterance = std::move(waiting_.front());
        waiting_.pop_front();
        lock.unlock();
        utter(utterance);
      } else if (next_ < words_.size() && !lost_) {
        const auto words = words_[next_++];
        lock.unlock();
        make_ready(words);
      } else {
        changed_.wait_for(lock, try_again, [this] { return ending_ || !waiting_.empty() || has_work(); });
        if (!std::exchange(lost_, false)) continue;
        next_ = 0;  // the output may be back
        continue;
      }
      lock.lock();
    }
    ended_ = true;
    changed_.notify_all();
  }

  /// Whether the thread is at its end.
  bool end() {
    std::unique_lock lock{mutex_};
    ending_ = true;
    tell_ = nullptr;
    changed_.notify_all();
    return changed_.wait_for(lock, to_end, [this] { return ended_; });
  }

 private:
  [[nodiscard]] bool has_work() const { return next_ < words_.size() && !lost_; }

  void tell(run::Input input) {
    const std::scoped_lock lock{mutex_};
    if (tell_) tell_(std::move(input));
  }

  void lose(const std::string& why) {
    {
      const std::scoped_lock lock{mutex_};
      lost_ = true;
    }
    if (std::exchange(told_lost_, true)) return;
    tell(run::VoiceLost{"words are printed and not spoken: " + why});
  }

  void make_ready(const std::string& words) {
    if (!settings_.sink) {
      tell(run::Rendered{words, run::speaking_time(words)});
      return;
    }
    const auto sound = renderer_.render(words);
    if (!sound && open_) return;  // these words alone
    if (!sound) return lose(on_one_line(sound.error().front()));
    if (!std::exchange(open_, true)) {
      const auto started = settings_.sink->start(sound->rate);
      open_ = started.has_value();
      if (!started) return lose(on_one_line(started.error().front()));
    }
    told_lost_ = false;
    tell(run::Rendered{words, sound->lasts() + settings_.delay});
  }

  void utter(const Utterance& utterance) {
    auto why = settings_.sink ? play(utterance) : command(utterance);
    tell(run::Voiced{utterance.words, utterance.ends, std::move(why)});
  }

  /// Why the words weren't played to their end; empty when they were.
  std::string play(const Utterance& utterance) {
    const auto sound = renderer_.render(utterance.words);
    if (!sound) return on_one_line(sound.error().front());
    if (const auto started = settings_.sink->start(sound->rate); !started)
      return output_gone(on_one_line(started.error().front()));
    auto& sink = *settings_.sink;
    const auto samples_in = [&](Duration span) {
      return static_cast<std::size_t>(in_seconds(span) * sound->rate);
    };
    if (!sink.write(std::vector<std::int16_t>(samples_in(wakes_output)))) return output_gone("it went away");
    const auto before = silence_before(*sound, sink.next_heard(), utterance.ends_at - settings_.delay);
    if (before < 0 && utterance.expires_at < BootTime::max() &&
        utterance.ends_at + from_seconds(static_cast<double>(-before) / sound->rate) > utterance.expires_at) {
      sink.stop();
      return too_late;
    }
    std::vector<std::int16_t> all(static_cast<std::size_t>(std::max<std::int64_t>(before, 0)));
    all.insert(all.end(), sound->samples.begin(), sound->samples.end());
    for (std::span<const std::int16_t> rest{all}; !rest.empty();) {
      if (has_to_stop(utterance)) {
        sink.stop();
        return cut_off;
      }
      const auto piece = rest.first(std::min(rest.size(), samples_in(at_a_time)));
      if (!sink.write(piece)) return output_gone("it went away");
      rest = rest.subspan(piece.size());
    }
    return sink.finish() ? std::string{} : output_gone("it went away");
  }

  std::string output_gone(const std::string& why) {
    open_ = false;
    lose(why);
    return why;
  }

  bool has_to_stop(const Utterance& utterance) {
    const std::scoped_lock lock{mutex_};
    return ending_ || (!utterance.first && !waiting_.empty() && waiting_.front().first);
  }

  std::string command(const Utterance& utterance) {
    auto arguments = settings_.command;
    arguments.push_back(utterance.words);
    const auto program = arguments.front();
    arguments.erase(arguments.begin());
    const auto process = posix::Process::start({program, std::move(arguments), settings_.folder, {}});
    if (!process) return on_one_line(process.error().front());
    const auto limit = posix::boot_now() + 2 * run::speaking_time(utterance.words) + 5s;
    while (!process->has_ended(at_a_time)) {
      const bool stop = has_to_stop(utterance);
      if (!stop && posix::boot_now() < limit) continue;
      process->signal(SIGKILL);
      (void)process->has_ended(to_end);
      (void)process->end();
      return stop ? cut_off : "the program didn't end";
    }
    const auto end = process->end();
    return end.exit == 0 ? std::string{} : "the program " + to_text(end);
  }

  VoiceSettings settings_;
  Tell tell_;
  Renderer renderer_;
  bool open_ = false;       // the output was, and hasn't failed since
  bool told_lost_ = false;  // since it last worked
  std::mutex mutex_;
  std::condition_variable changed_;
  std::vector<std::string> words_;
  std::size_t next_ = 0;  // of them, to be made ready
  std::deque<Utterance> waiting_;
  bool lost_ = false;
  bool ending_ = false;
  bool ended_ = false;
};

Voice::Voice(VoiceSettings settings, Tell tell)
    : speaker_{std::make_shared<Speaker>(std::move(settings), std::move(tell))} {
  std::thread{[speaker = speaker_] { speaker->work(); }}.detach();
}

Voice::~Voice() {
  (void)speaker_->end();
}

void Voice::prepare(std::vector<std::string> words) {
  std::set<std::string> seen;
  std::erase_if(words, [&](const std::string& each) { return !seen.insert(each).second; });
  speaker_->prepare(std::move(words));
}

void Voice::say(Utterance utterance) {
  speaker_->say(std::move(utterance));
}

}  // namespace noonfall::voice
