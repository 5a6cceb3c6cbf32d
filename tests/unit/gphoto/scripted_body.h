// A body on a cable as a script has it, in a time of its own: it passes only in calls and waits.
#pragma once

#include <algorithm>
#include <deque>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "daemon/gphoto/cabled_camera.h"

namespace noonfall::gphoto {

/// A test writes the script before and between its calls.
struct Script {
  struct Told {
    Utc at;
    News news;
  };

  Utc now = Utc{std::chrono::hours{1000}};
  Duration call_time = std::chrono::microseconds{100};  // of each call to the body
  Duration listing_time{};
  About about{.operations = {0x1001, 0x100E}, .driver = "2.5.30"};
  Duration patience{};  // with a transaction, as last told
  bool plugged = true;
  bool stopping = false;
  std::map<std::string, Control> controls;
  std::map<std::string, std::string> shown;  // by the label that was sent, where it is another
  std::deque<Told> news;                     // in time order
  std::vector<Store> stores{{30'000'000, 60'000'000, false}};
  std::vector<std::string> files;
  std::map<std::string, std::string> contents;              // by path; of others a few bytes
  std::map<std::string, std::deque<DriverError>> failures;  // by call: "set iso", "read iso", "list"…
  std::function<void(const std::string& call)> on_call;     // before it is answered
  /// How a call fails, finding and opening bodies among them ("detect", "open"); none: not by this.
  std::function<std::optional<DriverError>(const std::string& call)> strikes;
  std::vector<std::string> calls;  // "set iso 200", "trigger", "list"
  std::vector<Utc> called;         // likewise: when

  void offers(const std::string& name, const std::string& label, std::vector<std::string> choices) {
    controls[name] = {name, label, std::move(choices)};
  }
  void tells(Duration in, News::Kind kind, std::string text) {
    const Told told{now + in, {kind, std::move(text)}};
    const auto later = [&](const Told& other) { return other.at > told.at; };
    news.insert(std::find_if(news.begin(), news.end(), later), told);
  }
  void fails(const std::string& call, int times, DriverError error = {}) {
    for (int n = 0; n < times; ++n) failures[call].push_back(error);
  }
  [[nodiscard]] std::size_t count(const std::string& call) const;
  /// When it was last called.
  [[nodiscard]] Utc last(const std::string& call) const;
};

/// Pictures that came over the cable.
struct ScriptedPictures final : PictureFolder {
  tl::expected<std::string, std::string> keep(std::string_view name, std::string_view bytes) override;
  [[nodiscard]] std::uint64_t free_bytes() const override { return free; }

  std::map<std::string, std::string> kept;
  std::string full;  // why nothing more is kept
  std::uint64_t free = 500'000'000'000;
};

/// With manual exposure, a card and the settings that the tests use; no family's own controls.
[[nodiscard]] std::shared_ptr<Script> generic_body();
/// Its button is "eosremoterelease", and its news say which settings it has taken.
[[nodiscard]] std::shared_ptr<Script> family_b_body();

/// The others as their dumps and libgphoto2 2.5.30 have them, as far as the camera asks: vendor extension,
/// operations, and the controls their own way needs.
[[nodiscard]] std::shared_ptr<Script> family_a_body();
[[nodiscard]] std::shared_ptr<Script> sony_body();
[[nodiscard]] std::shared_ptr<Script> fuji_body();
[[nodiscard]] std::shared_ptr<Script> panasonic_body();
[[nodiscard]] std::shared_ptr<Script> olympus_body();

[[nodiscard]] std::shared_ptr<Cables> cables_of(const std::shared_ptr<Script>& script);
/// The camera on it.
[[nodiscard]] CabledCamera camera_on(const std::shared_ptr<Script>& script,
                                     std::optional<body::Profile> profile,
                                     std::shared_ptr<PictureFolder> pictures = nullptr);

}  // namespace noonfall::gphoto
