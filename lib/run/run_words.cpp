#include <algorithm>
#include <iterator>

#include "lib/plan/spoken_words.h"
#include "lib/run/run.h"
#include "lib/timeline/sentences.h"

namespace noonfall::run {
namespace {

using timeline::Sentence;

/// By its number where its name would make something else of the words.
std::string request_for(Sentence request, const std::string& rig, std::size_t index,
                        plan::Language language) {
  if (plan::why_not_a_cue(sentence(plan::Language::english, request, rig)).empty())
    return sentence(language, request, rig);
  return sentence(language, request, sentence(language, Sentence::rig_number, std::to_string(index + 1)));
}

}  // namespace

std::vector<std::string> Run::words() const {
  std::vector<std::string> all;
  const auto add = [&](const std::vector<std::string>& more) {
    std::copy(more.begin(), more.end(), std::back_inserter(all));
  };
  for (const auto& [rig, filter] : filters_) add(filter.words());
  add(cues_.words());
  for (std::size_t n = 0; n < plans_.size(); ++n) {
    if (!plans_[n].by_hand) all.push_back(request_for(Sentence::look_after, plans_[n].name, n, language_));
    if (watches_.contains(n))
      all.push_back(request_for(Sentence::hands_needed_at, plans_[n].name, n, language_));
  }
  return all;
}

/// What the log has as spoken was played: where it wasn't, a second line says so.
void Run::take(const Voiced& voiced) {
  if (!voiced.why_not.empty())
    log_.write(shotlog::CueLine{
        .words = voiced.words, .ends = voiced.ends, .why = "not heard: " + voiced.why_not, .printed = true});
  for (auto& [rig, filter] : filters_) filter.take(voiced);
}

/// For a body that nothing else brought back, or a picture that shows what only a person can mend.
void Run::ask_for_hands(std::size_t rig, Sentence request, Utc now, Output& out) {
  if (stopping_ || now < voice_.free_from) return;
  const auto words = request_for(request, plans_[rig].name, rig, language_);
  const auto ends = now + voice_.takes(words);
  const bool spoken = voice_.speaks(words);
  log_.write(shotlog::CueLine{.words = words, .ends = ends, .printed = !spoken});
  out.announcements.push_back({words, ends, ends + latest_start, spoken});
}

}  // namespace noonfall::run
