// A body on a cable: the verbs of lib/rig over its driver's calls, whatever family it is of.
#pragma once

#include <cstdint>
#include <deque>
#include <map>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "daemon/gphoto/body_search.h"
#include "daemon/gphoto/family.h"
#include "daemon/gphoto/frame_files.h"
#include "daemon/gphoto/picture_folder.h"
#include "daemon/gphoto/plan_time.h"
#include "daemon/gphoto/readiness.h"
#include "daemon/gphoto/settings.h"
#include "lib/body/inspection.h"
#include "lib/body/model.h"
#include "lib/body/profile.h"
#include "lib/rig/camera.h"

namespace noonfall::gphoto {

struct CabledSetup {
  std::string serial;
  std::optional<body::Profile> profile;  // none: nothing was measured of the body yet
  body::Files files = body::Files::raw;
  std::shared_ptr<PictureFolder> pictures = nullptr;  // none: what comes to us isn't wanted
  std::string spare = {};                             // the serial number of one that may take its place
};

/// Opens the body with the first call. While frames follow each other no time goes into anything else: the
/// body's news is read as far as it is waited for anyway, and a frame whose picture wasn't announced by then
/// counts as taken, until some in a row turn out not to be.
///
/// The driver's every call is bounded (library.cpp) and so is what is
/// done around it, but for a release, which lasts as long as its frames. A body that answers nothing three
/// times running counts as gone.
///
/// Without a profile a release of one is answered as soon as the body took it, its opening stamped with the
/// release itself: what comes next is answered busy until the body is free. Of a release of several, `frames`
/// are those whose pictures came, and `at` is when the body was free again, found out by changing the ISO
/// value. Files in an answer are those announced since the answer before it.
class CabledCamera final : public rig::Camera, public body::Inspection {
 public:
  CabledCamera(CabledSetup setup, std::shared_ptr<Cables> cables, std::shared_ptr<PlanTime> time);
  ~CabledCamera() override;
  CabledCamera(CabledCamera&&) = default;
  CabledCamera(const CabledCamera&) = delete;
  CabledCamera& operator=(const CabledCamera&) = delete;
  CabledCamera& operator=(CabledCamera&&) = default;

  [[nodiscard]] rig::DeviceAnswer answer(const rig::DeviceCall& call, Utc now) override;
  [[nodiscard]] rig::Care look_after(Utc now, Utc until) override;
  [[nodiscard]] std::optional<std::string> preview(const std::string& file, Utc until) override;

  [[nodiscard]] Result<body::Description> description() override;
  [[nodiscard]] std::optional<Megabytes> file_size(const std::string& name) override;
  [[nodiscard]] std::optional<body::OwnBrackets> own_brackets() override;
  [[nodiscard]] std::vector<Utc> announcements() override { return unmeasured_.announced; }
  [[nodiscard]] std::vector<body::Chosen> choices_for(const exposure::Exposure& exposure) override;

 private:
  enum class State { closed, there, away };

  /// An open body and what was learnt of it at opening.
  struct Body {
    std::unique_ptr<Session> session;
    std::unique_ptr<Family> family;
    Settings settings;
  };
  /// One release: when its shutters open and close by the profile.
  struct Burst {
    std::vector<order::FrameId> frames;
    Utc released;
    Utc first_opening;
    Duration held_up{};  // on its way: so much later the body may have had it
    Duration interval{};
    Duration open{};
    std::vector<Duration> offsets;  // of a bracket: from the first opening
    std::vector<Duration> opens;    // likewise, instead of `open`
    Utc free;                       // the body takes the next call

    [[nodiscard]] Utc opening(std::size_t n) const {
      return first_opening + (offsets.empty() ? interval * static_cast<std::int64_t>(n) : offsets[n]);
    }
    [[nodiscard]] Utc closing(std::size_t n) const { return opening(n) + (opens.empty() ? open : opens[n]); }
    [[nodiscard]] Utc last_closing() const { return closing(frames.size() - 1); }
    [[nodiscard]] Utc last_opening() const { return opening(frames.size() - 1); }
  };
  /// What is learnt of a body without a profile.
  struct Unmeasured {
    Duration iso_time{};             // of a change of the ISO value; zero: not known yet
    std::vector<std::string> files;  // announced since the last answer that named some
    std::set<std::string> pictures;  // of the last release of several, by base name
    std::vector<Utc> announced;      // likewise: when the host learnt of each
    Utc last_picture;
  };

  // cabled_camera.cpp: the verbs
  [[nodiscard]] rig::DeviceAnswer set(const rig::SettingsCall& call);
  [[nodiscard]] Tried<void> make(const rig::SettingsCall& call);
  [[nodiscard]] Tried<void> settle(const rig::SettingsCall& call);
  [[nodiscard]] Tried<void> settle_by_word(Utc give_up);
  [[nodiscard]] Duration usual_time() const;
  [[nodiscard]] Tried<bool> has(const Sent& sent, Utc told_by);
  [[nodiscard]] rig::SettingsCall present() const;
  [[nodiscard]] rig::DeviceAnswer drain();
  [[nodiscard]] rig::DeviceAnswer failed(const DriverError& error);
  [[nodiscard]] rig::DeviceAnswer said(rig::Answer answer, std::string why);
  [[nodiscard]] rig::DeviceAnswer went(std::string why);
  void be_patient(Duration most);
  [[nodiscard]] Utc now() { return time_->now(); }

  // cabled_opening.cpp: finding the body, and making it ready
  [[nodiscard]] rig::DeviceAnswer reopen(const rig::ReopenCall& call);
  [[nodiscard]] std::optional<std::string> open(bool or_other = false);
  [[nodiscard]] tl::expected<OpenedBody, NotFound> find(bool or_other);
  void set_up(Session& session, Family& family);

  // cabled_bracket.cpp: brackets that a body takes by itself
  [[nodiscard]] Tried<rig::SettingsCall> arrange_bracket(rig::SettingsCall call);
  void time_bracket(Burst& burst) const;
  void end_left_bracket(Session& session, Family& family);

  // cabled_settings.cpp: settings that the body changes by itself, or a person does
  void read_settings();
  void read_settings_again();
  void look_at_mode();
  [[nodiscard]] bool hear_setting(const News& news);

  // cabled_release.cpp: taking frames, and finding out what became of them
  [[nodiscard]] rig::DeviceAnswer release(const rig::ReleaseCall& call);
  [[nodiscard]] rig::DeviceAnswer release_measured(const rig::ReleaseCall& call);
  [[nodiscard]] rig::DeviceAnswer release_bulb(const rig::ReleaseCall& call);
  [[nodiscard]] std::string why_refused(const rig::ReleaseCall& call) const;
  [[nodiscard]] Burst burst_of(const rig::ReleaseCall& call);
  [[nodiscard]] std::size_t fitting(const rig::ReleaseCall& call);
  void take_note_of(const Burst& burst);
  void note_time(const Burst& burst);
  void hold(Utc until, std::size_t pictures);
  [[nodiscard]] Tried<void> wait_for_word();
  void wait_for_frames(const Burst& burst, Utc next);
  void read_until(Utc until);
  [[nodiscard]] bool family_is_quiet() const {
    const bool tells = murmurs_ || murmurs_heard_ > 0;
    return (body_->family->is_silent() && !tells) || body_->family->has_heavy_news();
  }
  [[nodiscard]] std::optional<rig::DeviceAnswer> until_ready(const rig::ReleaseCall& call);
  [[nodiscard]] rig::DeviceAnswer not_begun(const Burst& burst, const DriverError& error);
  void change_way();
  [[nodiscard]] bool all_announced(const Burst& burst) const;
  [[nodiscard]] rig::DeviceAnswer taken(const Burst& burst, Utc next);

  // cabled_listening.cpp: what is told of frames whose pictures aren't announced
  void listen_for_frame();
  [[nodiscard]] bool is_ignored(const Burst& burst);
  [[nodiscard]] rig::DeviceAnswer ignored(const Burst& burst);
  [[nodiscard]] bool hears_of_frame();

  // unmeasured_release.cpp: the same for a body of which nothing is known
  [[nodiscard]] rig::DeviceAnswer release_unmeasured(const rig::ReleaseCall& call);
  [[nodiscard]] rig::DeviceAnswer burst_over(Utc released, std::size_t pictures);
  [[nodiscard]] Tried<void> until_free(Utc give_up);
  [[nodiscard]] Tried<void> learn_iso_time();
  void await_pictures(std::size_t most);

  // cabled_pictures.cpp: pictures that come to us
  void keep_or_say(const std::string& path);
  [[nodiscard]] tl::expected<void, std::string> keep_picture(const std::string& path);
  void take_copies(Utc until);
  void look_at_room(rig::Care& care);

  // cabled_care.cpp: between calls
  [[nodiscard]] Tried<void> read_news(Duration most, int wait_ms);
  void take(const News& news);
  void check_health(rig::Care& care);
  [[nodiscard]] std::optional<int> frames_in(const std::vector<Store>& stores) const;
  void reconcile(rig::Care& care);
  void note_late_files(rig::Care& care);

  CabledSetup setup_;
  std::shared_ptr<Cables> cables_;
  std::shared_ptr<PlanTime> time_;
  bool on_spare_ = false;
  State state_ = State::closed;
  std::optional<Body> body_;
  std::optional<ListedBody> last_place_;
  int silences_ = 0;  // in a row

  exposure::Exposure wanted_;                        // last asked for
  std::vector<Sent> awaited_;                        // settings last sent, until the body has them
  bool read_back_ = false;                           // all of them
  Duration settings_time_{};                         // what a change took lately
  std::vector<exposure::Shutter> bracket_;           // the times of the bracket in force
  body::Drive bracket_drive_ = body::Drive::single;  // beside it
  FrameFiles files_;
  Readiness readiness_;
  bool murmurs_ = false;       // a silent body tells something or other of each frame it takes
  int murmurs_heard_ = 0;      // since the last release
  int murmured_ = 0;           // how sure that is
  bool listens_ = false;       // all that is told now is of the next frame
  Duration murmur_delay_{};    // the longest after an opening
  int ignored_in_a_row_ = 0;   // releases
  Utc heard_to_ = Utc::min();  // all news of before is read
  bool up_to_date_ = true;     // the last reading found the end of the news
  Duration patience_{};        // with a transaction
  Duration longest_answer_{};  // of the body so far
  Duration quickest_release_ = Duration::max();  // nothing held it up on its way
  bool dials_turned_ = false;                    // by its own word
  Utc next_reading_ = Utc::min();                // of lists that lack what is wanted
  std::string mode_;                             // of its dial, as last seen
  std::deque<std::string> copies_;               // in the body's memory, to be taken away
  Duration copying_time_{};                      // what the longest took
  int copy_failures_ = 0;                        // of the first, in a row
  std::optional<std::uint64_t> room_before_;     // kilobytes free on its cards before the first frame
  bool room_looked_at_ = false;                  // after it
  Utc first_written_ = Utc::max();               // the first frame's picture should be on the card
  std::optional<body::Buffer> buffer_;           // what the card should still be busy with
  bool no_preview_noted_ = false;
  std::map<std::string, std::string> card_;  // files known to be on it, and their whole paths
  Unmeasured unmeasured_;
  Utc quiet_since_ = Utc::min();  // the last news of a picture, or when one was to be expected
  Utc next_health_ = Utc::min();
  bool listed_ = false;
  Utc next_listing_ = Utc::min();
  Duration listing_pause_{};        // after the last one, which failed
  Duration listing_time_{};         // what the longest took
  bool memory_alarm_ = false;       // said
  bool way_changed_ = false;        // said
  bool room_alarm_ = false;         // said
  bool battery_alarm_ = false;      // said
  std::vector<std::string> notes_;  // for the next look
  std::vector<std::string> alarms_;
};

}  // namespace noonfall::gphoto
