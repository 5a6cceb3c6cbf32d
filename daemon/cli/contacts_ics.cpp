// The contacts as a calendar (RFC 5545): one event each, with an alarm five minutes before; a plan's cues
// with one at their instant.
#include <fmt/format.h>

#include "daemon/cli/contacts_output.h"
#include "lib/base/code_points.h"
#include "lib/time/utc_text.h"
#include "lib/timeline/print.h"

namespace noonfall::cli {
namespace {

using contacts::ContactName;

/// 3.1: lines of at most 75 octets; what is longer goes on after CRLF and a space, never within a character.
void add_line(std::string& out, std::string_view line) {
  constexpr std::size_t most_octets = 75;
  for (std::size_t room = most_octets; line.size() > room; room = most_octets - 1) {
    auto end = room;
    while (continues_code_point(line[end])) --end;
    out += std::string{line.substr(0, end)} + "\r\n ";
    line.remove_prefix(end);
  }
  out += std::string{line} + "\r\n";
}

/// 3.3.5, form 2: 20270802T084509Z, to the nearest second.
std::string date_time(Utc at) {
  auto text = noonfall::to_text(Utc{std::chrono::round<std::chrono::seconds>(at)});
  std::erase_if(text, [](char c) { return c == '-' || c == ':'; });
  return text.substr(0, text.find('.')) + "Z";
}

/// 3.3.11.
std::string escaped(std::string_view text) {
  std::string out;
  for (const char c : text) {
    if (c == '\\' || c == ';' || c == ',') out += '\\';
    out += c;
  }
  return out;
}

struct Event {
  std::string id;
  Utc at;
  std::string what;
  std::string more;     // empty: nothing
  std::string trigger;  // of its alarm
  std::string alarm;
};

void add_event(std::string& out, const contacts::Circumstances& sky, const Event& event, Utc stamp) {
  add_line(out, "BEGIN:VEVENT");
  add_line(out, fmt::format("UID:{}-{}-{:.4f}-{:.4f}@noonfall", noonfall::to_text(sky.eclipse), event.id,
                            sky.site.latitude.value, sky.site.longitude.value));
  add_line(out, "DTSTAMP:" + date_time(stamp));
  add_line(out, "DTSTART:" + date_time(event.at));
  add_line(out, "SUMMARY:" + escaped(event.what));
  if (!event.more.empty()) add_line(out, "DESCRIPTION:" + escaped(event.more));
  add_line(out, fmt::format("GEO:{:.6f};{:.6f}", sky.site.latitude.value, sky.site.longitude.value));
  for (const auto* line : {"BEGIN:VALARM", "ACTION:DISPLAY"}) add_line(out, line);
  add_line(out, "TRIGGER:" + event.trigger);
  add_line(out, "DESCRIPTION:" + escaped(event.alarm));
  add_line(out, "END:VALARM");
  add_line(out, "END:VEVENT");
}

void add_contact(std::string& out, const contacts::Circumstances& sky, ContactName name, Utc stamp) {
  const auto& contact = *sky.at(name);
  const auto what = fmt::format("{}: {}", contacts::to_text(name), timeline::meaning_of(name, sky.kind));
  const auto more =
      fmt::format("Sun {:.0f} degrees up at azimuth {:.0f}, known to {:.1f} s",
                  contact.apparent_altitude.value, contact.azimuth.value, in_seconds(contact.uncertainty));
  add_event(
      out, sky,
      {std::string{contacts::to_text(name)}, contact.utc, what, more, "-PT5M", "Five minutes to " + what},
      stamp);
}

}  // namespace

std::string contacts_ics(const contacts::Circumstances& sky, Utc stamp, std::span<const timeline::Cue> cues) {
  std::string out;
  for (const auto* line : {"BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//noonfall//contacts//EN"})
    add_line(out, line);
  for (const auto name : contacts::all_contacts)
    if (sky.at(name)) add_contact(out, sky, name, stamp);
  int number = 0;
  for (const auto& cue : cues) {
    ++number;
    if (cue.kind != timeline::CueKind::filter_off)
      add_event(out, sky, {fmt::format("cue-{}", number), cue.ends, cue.words, "", "PT0S", cue.words}, stamp);
  }
  add_line(out, "END:VCALENDAR");
  return out;
}

}  // namespace noonfall::cli
