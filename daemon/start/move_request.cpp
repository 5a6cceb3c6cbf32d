#include "daemon/start/move_request.h"

#include <algorithm>

#include <fmt/format.h>

#include "lib/time/duration_text.h"
#include "lib/time/utc_text.h"

namespace noonfall::start {
namespace {

using namespace std::chrono_literals;

constexpr Duration around = 3h;

Failure refuse(std::string message, std::string hint) {
  return fail(error_at({}, "move", std::move(message), std::move(hint)));
}

constexpr const char* wanted = "such as C2=+5min, or C2=2026-07-01T20:00:00Z";

struct Span {
  Utc from;
  Utc until;
};

Span span_of(const contacts::Circumstances& sky) {
  Span span{Utc::max(), Utc::min()};
  for (const auto& contact : sky.contacts) {
    if (!contact) continue;
    span.from = std::min(span.from, contact->utc);
    span.until = std::max(span.until, contact->utc);
  }
  return span;
}

}  // namespace

Result<MoveRequest> parse_move(std::string_view text) {
  const auto equals = text.find('=');
  const auto contact = contacts::parse_contact_name(text.substr(0, equals));
  if (!contact || equals == std::string_view::npos)
    return refuse(fmt::format("--move takes a contact and where it goes, not \"{}\"", text), wanted);
  const auto to = text.substr(equals + 1);
  if (to.starts_with('+') || to.starts_with('-')) {
    const auto span = parse_duration(to.substr(1));
    if (span) return MoveRequest{*contact, to.front() == '-' ? -*span : *span};
  } else if (const auto instant = parse_utc(to)) {
    return MoveRequest{*contact, *instant};
  }
  return refuse(fmt::format("--move {}= goes to \"{}\", which is neither a span from now nor an instant",
                            to_text(*contact), to),
                wanted);
}

Result<Duration> moved_by(const MoveRequest& request, const contacts::Circumstances& sky, Utc now) {
  const auto& contact = sky.at(request.contact);
  if (!contact) {
    return refuse(fmt::format("there is no {} at this site to move", to_text(request.contact)),
                  "a contact that happens there, MID for one");
  }
  const auto* span = std::get_if<Duration>(&request.to);
  return (span != nullptr ? now + *span : std::get<Utc>(request.to)) - contact->utc;
}

std::optional<Diagnostic> too_near_the_real_one(const contacts::Circumstances& sky, Utc now, Duration moved) {
  const auto real = span_of(sky);
  if (real.from > real.until) return std::nullopt;
  const auto inside = [&](Utc from, Utc until) {
    return from < real.until + around && until > real.from - around;
  };
  const auto why = fmt::format("a rehearsal within 3 h of the real eclipse ({} to {} UTC)",
                               to_minutes(real.from), to_minutes(real.until));
  if (inside(now, now)) {
    return error_at({}, "too-near-the-real-one",
                    why + " is refused: it would say to keep the camera filter on when it must come off",
                    "the same command without --move and --simulate");
  }
  if (!inside(real.from + moved, real.until + moved)) return std::nullopt;
  if (moved == Duration{}) {
    return error_at({}, "not-moved",
                    "a rehearsal that isn't moved would wait for the real eclipse's own time",
                    "--move, " + std::string{wanted});
  }
  return error_at({}, "too-near-the-real-one", why + " is refused, and --move takes this one there",
                  "another time for --move");
}

}  // namespace noonfall::start
