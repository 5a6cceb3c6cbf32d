// A simulated body as a PTP responder: what it answers to each operation, and when.
#pragma once

#include <memory>
#include <optional>
#include <string>

#include "sim/body/simulated_body.h"
#include "sim/wire/dialect.h"

namespace noonfall::wire {

struct BodyIdentity {
  Family family = Family::generic;
  std::string model = "Noonfall Simulated";
  std::string serial = "0001";
  Traits traits = traits_of(family);
};

/// How long a body takes at least for a transaction, whatever it asks (an estimate: real ones are said to
/// take 0.5 to 5 ms).
inline constexpr Duration transaction_time = std::chrono::milliseconds{1};

/// Whether the body can be reached, and how often it went and came back: each time at another address.
struct Presence {
  bool there = true;
  int returns = 0;
  bool operator==(const Presence&) const = default;
};

/// Operations come one at a time, `now` never going back; a reply is complete when given and dated `at`, now
/// or later. A host that asks before that asks from then on.
class PtpBody {
 public:
  PtpBody(BodyIdentity identity, sim::BodySetup setup, std::vector<LineFault> line_faults = {},
          Duration transaction = transaction_time);

  /// Whether the host sends data along with this operation.
  [[nodiscard]] bool takes_data(std::uint16_t code) const { return dialect_->takes_data(code); }
  [[nodiscard]] Reply answer(const Request& request, Utc now);
  /// What the interrupt pipe holds.
  [[nodiscard]] std::optional<Container> event(Utc now);
  [[nodiscard]] std::optional<Utc> next_event_at() const { return camera_->next_notice_at(); }
  [[nodiscard]] Presence presence(Utc now) const;
  /// The small picture, a JPEG, of what it took; without this it has none.
  using Draw = std::function<std::string(const sim::RecordedFrame&)>;
  void draw_by(Draw draw) { draw_ = std::move(draw); }
  /// Everything it really took.
  [[nodiscard]] const std::vector<sim::RecordedFrame>& taken() const { return camera_->taken(); }

 private:
  [[nodiscard]] Reply perform(const Request& request, Utc now);
  [[nodiscard]] std::optional<std::uint16_t> refusal(const Request& request, Utc now);
  void turn_panel(Utc now);
  [[nodiscard]] Reply open_session(Utc now);
  [[nodiscard]] std::optional<Reply> standard(const Request& request, Utc now);
  [[nodiscard]] std::optional<Reply> about_objects(const Request& request, Utc now);
  [[nodiscard]] std::optional<Reply> about_properties(const Request& request, Utc now);
  [[nodiscard]] Reply device_info(Utc now) const;
  [[nodiscard]] Reply storage_info(std::uint32_t id, Utc now) const;
  [[nodiscard]] Reply thumbnail(const CardObject& object, Utc now) const;
  [[nodiscard]] Reply object_handles(const Request& request, Utc now) const;
  [[nodiscard]] Reply object_info(const CardObject& object, Utc now) const;
  [[nodiscard]] Reply object_bytes(const CardObject& object, const Request& request, Utc now);

  BodyIdentity identity_;
  Duration transaction_;
  std::vector<sim::Fault> faults_;
  std::unique_ptr<LineFaults> line_faults_;
  Panel panel_;
  std::unique_ptr<TetheredCamera> camera_;
  std::unique_ptr<Dialect> dialect_;
  Draw draw_;
  bool session_open_ = false;
  int session_returns_ = 0;  // of the presence in which it was opened
};

}  // namespace noonfall::wire
