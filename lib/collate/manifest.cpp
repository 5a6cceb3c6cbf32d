#include "lib/collate/manifest.h"

#include <cmath>

#include "lib/base/plain_text.h"
#include "lib/exposure/exposure_json.h"
#include "lib/json/encodings.h"

namespace noonfall::collate {

/// A row as its reader has it; what isn't known is left out.
struct Listed {
  std::string file;
  std::string status;
  std::optional<std::string> rig;
  std::optional<std::string> step;
  std::optional<int> set;
  std::optional<int> frame;
  std::optional<Utc> due;
  std::optional<Utc> opened;
  std::optional<Utc> photo;
  std::optional<double> off_s;
  std::optional<exposure::Shutter> shutter;
  std::optional<exposure::FNumber> aperture;
  std::optional<exposure::Iso> iso;
  std::optional<std::string> bracket;
  std::optional<std::string> why;
};

void fields(auto& io, json::Like<Listed> auto& it) {
  io("file", it.file);
  io("status", it.status);
  io.maybe("rig", it.rig);
  io.maybe("step", it.step);
  io.maybe("set", it.set);
  io.maybe("frame", it.frame);
  io.maybe("due_utc", it.due, json::utc);
  io.maybe("opened_utc", it.opened, json::utc);
  io.maybe("photo_utc", it.photo, json::utc);
  io.maybe("off_s", it.off_s);
  io.maybe("shutter", it.shutter);
  io.maybe("aperture", it.aperture);
  io.maybe("iso", it.iso);
  io.maybe("bracket", it.bracket);
}

namespace {

/// Quoted where RFC 4180 wants it.
std::string cell(const json::Json& value) {
  const auto text = value.is_string() ? value.get<std::string>() : value.dump();
  if (text.find_first_of("\",\r\n") == std::string::npos) return text;
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"') out += '"';
    out += c;
  }
  return out + '"';
}

/// A row of a table by the same description, and its header.
struct Cells {
  std::string names = {};
  std::string values = {};

  template <class T, class As = json::Usual<T>>
  void operator()(const char* name, const T& value, const As& as = {}) {
    put(name, cell(as.write(value)));
  }
  template <class T, class As = json::Usual<T>>
  void maybe(const char* name, const std::optional<T>& value, const As& as = {}) {
    put(name, value ? cell(as.write(*value)) : std::string{});
  }

 private:
  void put(const char* name, const std::string& value) {
    const auto* comma = names.empty() ? "" : ",";
    names += comma;
    names += name;
    values += comma;
    values += value;
  }
};

void put_shot(Listed& out, const Collation& all, const Shot& shot) {
  out.rig = plain_line(shot.frame.rig);  // a log may be anybody's
  out.step = plain_line(shot.frame.step);
  out.set = shot.frame.set;
  out.frame = shot.frame.frame;
  out.due = shot.due;
  if (shot.fired) out.opened = shot.opened;
  if (out.opened && out.photo)
    out.off_s = std::round(in_milliseconds(*out.photo - *out.opened)) / 1e3 + 0.0;  // no "-0"
  out.shutter = shot.exposure.shutter;
  out.aperture = shot.exposure.aperture;
  out.iso = shot.exposure.iso;
  if (const auto* bracket = all.bracket_of(shot.frame))
    out.bracket = bracket->complete() ? "complete" : "broken";
}

/// What the photograph says of itself comes first: of a doubtful one it is why.
Listed listed(const Collation& all, const Row& row) {
  Listed out;
  out.status = to_text(row.status);
  out.photo = row.at;
  if (!row.why.empty()) out.why = row.why;
  if (row.shot) put_shot(out, all, all.log.shots[*row.shot]);
  if (!row.photo) return out;
  const auto& photo = all.photos[*row.photo];
  out.file = photo.file;
  if (photo.shutter) out.shutter = photo.shutter;
  if (photo.aperture) out.aperture = photo.aperture;
  if (photo.iso) out.iso = photo.iso;
  return out;
}

struct WithReason {
  void operator()(auto& io, const Listed& row) const {
    fields(io, row);
    io.maybe("why", row.why);
  }
};

json::Json clock_json(const CameraClock& clock) {
  return {{"camera", clock.camera},
          {"rig", clock.rig},
          {"from_utc", to_text_us(clock.from)},
          {"until_utc", to_text_us(clock.until)},
          {"photos", clock.photos},
          {"ahead_s", in_seconds(clock.ahead)},
          {"gains_s_a_day", clock.gains_s}};
}

json::Json bracket_json(const shotlog::FrameName& set, const BracketTaken& bracket) {
  return {{"rig", set.rig},
          {"step", set.step},
          {"set", set.set},
          {"frames", bracket.frames},
          {"there", bracket.there},
          {"complete", bracket.complete()},
          {"covers", range_text(bracket)}};
}

}  // namespace

std::string to_csv(const Collation& all) {
  Cells header;
  const Listed nothing;
  fields(header, nothing);
  std::string out = header.names + '\n';
  for (const auto& row : all.rows) {
    Cells cells;
    const auto values = listed(all, row);
    fields(cells, values);
    out += cells.values + '\n';
  }
  return out;
}

std::string to_json(const Collation& all) {
  json::Json out{
      {"photos", json::Json::array()}, {"clocks", json::Json::array()}, {"brackets", json::Json::array()}};
  for (const auto& row : all.rows)
    out["photos"].push_back(json::Described{WithReason{}}.write(listed(all, row)));
  for (const auto& clock : all.clocks) out["clocks"].push_back(clock_json(clock));
  for (const auto& [set, bracket] : all.brackets) out["brackets"].push_back(bracket_json(set, bracket));
  return json::to_indented(out);
}

}  // namespace noonfall::collate
