// One voice for all words: made ready ahead, played so that they end at their instants, cut off by words on
// camera filters, never said late.
#pragma once

#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "daemon/voice/sink.h"
#include "lib/plan/plan.h"
#include "lib/run/input_output.h"

namespace noonfall::voice {

struct Utterance {
  std::string words;
  Utc ends;             // by which whoever asked for it knows it
  BootTime ends_at;     // the same
  BootTime expires_at;  // left out where it would end later
  bool first = false;   // before and over any others
};

struct VoiceSettings {
  std::string folder;  // for what is rendered
  plan::Language language = plan::Language::english;
  std::shared_ptr<Sink> sink = {};        // none: words go to a program
  std::vector<std::string> command = {};  // that program and its arguments, the words behind them
  Duration delay{};                       // the output is heard so much later than it says
};

/// Works on a thread of its own, so that no sound output keeps anybody waiting.
class Voice {
 public:
  /// Rendered, Voiced and VoiceLost, on the voice's thread.
  using Tell = std::function<void(run::Input)>;

  Voice(VoiceSettings settings, Tell tell);
  /// What is being said is cut off. A sound output that doesn't answer is left behind after a second.
  ~Voice();
  Voice(const Voice&) = delete;
  Voice& operator=(const Voice&) = delete;

  /// All that may be said; again whenever the output comes back.
  void prepare(std::vector<std::string> words);
  void say(Utterance utterance);

 private:
  class Speaker;
  std::shared_ptr<Speaker> speaker_;
};

}  // namespace noonfall::voice
