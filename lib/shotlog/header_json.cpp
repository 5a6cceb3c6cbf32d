#include <fmt/format.h>

#include "lib/base/number.h"
#include "lib/shotlog/json_fields.h"
#include "lib/time/utc_text.h"

namespace noonfall::shotlog {
namespace {

Json to_json(const PlannedStep& step) {
  Json out;
  out["step"] = step.step;
  out["line"] = step.plan_line;
  out["subject"] = step.subject;
  out["filter"] = step.filtered ? "on" : "off";
  out["pace"] = step.back_to_back ? "back to back" : "timed";
  put_utc(out, "from_utc", step.from);
  put_utc(out, "until_utc", step.until);
  out["sets"] = step.sets;
  out["frames"] = step.frames;
  out["frames_per_set"] = step.frames_per_set;
  if (!step.frames_in_turn.empty()) out["frames_in_turn"] = step.frames_in_turn;
  return out;
}

int get_count(const Json& in, const char* name) {
  const auto value = get_integer(in, name);
  if (value < 0 || value > 1'000'000'000) throw BadMember{name};
  return static_cast<int>(value);
}

std::vector<int> get_counts(const Json& in, const char* name) {
  std::vector<int> out;
  if (!in.contains(name)) return out;
  for (const auto& each : member(in, name)) {
    const auto count = each.is_number_integer() ? each.get<std::int64_t>() : 0;
    if (count < 1 || count > 1'000'000) throw BadMember{name};
    out.push_back(static_cast<int>(count));
  }
  return out;
}

PlannedStep planned_step(const Json& in) {
  return {get_text(in, "step"),
          get_count(in, "line"),
          get_text(in, "subject"),
          get_text(in, "filter") == "on",
          get_text(in, "pace") == "back to back",
          get_utc(in, "from_utc"),
          get_utc(in, "until_utc"),
          get_count(in, "sets"),
          get_count(in, "frames"),
          get_count(in, "frames_per_set"),
          get_counts(in, "frames_in_turn")};
}

Json to_json(const PlannedRig& rig) {
  Json out;
  out["rig"] = rig.rig;
  if (!rig.body.empty()) {
    out["body"] = rig.body;
    out["profile_sha256"] = rig.profile_hash;
  }
  if (rig.window) {
    auto& window = out["filter_window"];
    put_utc(window, "opens_utc", rig.window->opens);
    put_utc(window, "usable_from_utc", rig.window->usable_from);
    put_utc(window, "usable_until_utc", rig.window->usable_until);
    put_utc(window, "closes_utc", rig.window->closes);
  }
  out["steps"] = Json::array();
  for (const auto& step : rig.steps) out["steps"].push_back(to_json(step));
  return out;
}

PlannedRig planned_rig(const Json& in) {
  PlannedRig rig{
      get_text(in, "rig"), get_text_or_empty(in, "body"), get_text_or_empty(in, "profile_sha256"), {}, {}};
  if (in.contains("filter_window")) {
    const auto& window = in["filter_window"];
    rig.window = {get_utc(window, "opens_utc"), get_utc(window, "usable_from_utc"),
                  get_utc(window, "usable_until_utc"), get_utc(window, "closes_utc")};
  }
  for (const auto& step : member(in, "steps")) rig.steps.push_back(planned_step(step));
  return rig;
}

Json to_json(const contacts::Site& site) {
  Json out;
  out["latitude"] = site.latitude.value;
  out["longitude"] = site.longitude.value;
  out["ellipsoidal_height_m"] = site.height.value;
  return out;
}

template <class Enum>
Enum one_of(const Json& in, const char* name, std::initializer_list<Enum> choices) {
  const auto text = get_text(in, name);
  for (const auto choice : choices) {
    if (text == to_text(choice)) return choice;
  }
  throw BadMember{fmt::format("\"{}\"", name)};
}

Duration get_seconds(const Json& in, const char* name) {
  const auto seconds = get_number(in, name);
  if (!(seconds > -1e6 && seconds < 1e6)) throw BadMember{name};
  return from_seconds(seconds);
}

std::vector<NamedContact> get_contacts(const Json& in) {
  std::vector<NamedContact> out;
  for (const auto& [name, contact] : in.items()) {
    const auto known = contacts::parse_contact_name(name);
    if (!known) throw BadMember{"\"contacts\""};
    out.push_back({*known, get_utc(contact, "utc"), get_seconds(contact, "uncertainty_s")});
  }
  return out;
}

}  // namespace

const Json& member(const Json& in, const char* name) {
  if (!in.is_object() || !in.contains(name)) throw BadMember{fmt::format("\"{}\"", name)};
  return in[name];
}

void put_utc(Json& out, const char* name, Utc instant) {
  out[name] = to_text_us(instant);
}

Utc get_utc(const Json& in, const char* name) {
  const auto instant = parse_utc(get_text(in, name));
  if (!instant) throw BadMember{fmt::format("\"{}\"", name)};
  return *instant;
}

std::string get_text(const Json& in, const char* name) {
  const auto& found = member(in, name);
  if (!found.is_string()) throw BadMember{fmt::format("\"{}\"", name)};
  return found.get<std::string>();
}

std::string get_text_or_empty(const Json& in, const char* name) {
  return in.is_object() && in.contains(name) ? get_text(in, name) : std::string{};
}

std::int64_t get_integer(const Json& in, const char* name) {
  const auto& found = member(in, name);
  if (!found.is_number_integer()) throw BadMember{fmt::format("\"{}\"", name)};
  return found.get<std::int64_t>();
}

double get_number(const Json& in, const char* name) {
  const auto& found = member(in, name);
  if (!found.is_number()) throw BadMember{fmt::format("\"{}\"", name)};
  return found.get<double>();
}

bool get_flag(const Json& in, const char* name) {
  const auto& found = member(in, name);
  if (!found.is_boolean()) throw BadMember{fmt::format("\"{}\"", name)};
  return found.get<bool>();
}

void put(Json& out, const Header& header) {
  out["noonfall_shot_log"] = header.version;
  out["mode"] = to_text(header.mode);
  out["title"] = header.title;
  out["plan_sha256"] = header.plan_hash;
  if (header.seed) out["seed"] = *header.seed;
  out["eclipse"] = noonfall::to_text(header.eclipse);
  out["eclipse_kind"] = to_text(header.kind);
  out["site"] = to_json(header.site);
  if (!header.zone.empty()) out["zone"] = header.zone;
  out["limb"] = header.limb;
  out["solar_radius_arcsec"] = header.solar_radius_arcsec;
  out["dut1_s"] = in_seconds(header.dut1);
  out["delta_t_s"] = in_seconds(header.delta_t);
  if (header.moved != Duration{}) out["moved_us"] = header.moved.count();
  auto& contacts = out["contacts"] = Json::object();
  for (const auto& contact : header.contacts) {
    auto& inner = contacts[std::string{to_text(contact.name)}];
    put_utc(inner, "utc", contact.utc);
    inner["uncertainty_s"] = in_seconds(contact.uncertainty);
  }
  out["rigs"] = Json::array();
  for (const auto& rig : header.rigs) out["rigs"].push_back(to_json(rig));
}

Header get_header(const Json& in) {
  Header header;
  header.version = get_count(in, "noonfall_shot_log");
  if (header.version != format_version)
    throw BadMember{"\"noonfall_shot_log\" (another version of the format)"};
  header.mode = one_of(in, "mode", {Mode::event, Mode::dress, Mode::simulated});
  header.title = get_text(in, "title");
  header.plan_hash = get_text(in, "plan_sha256");
  if (in.contains("seed")) {
    if (!in["seed"].is_number_unsigned()) throw BadMember{"\"seed\""};
    header.seed = in["seed"].get<std::uint64_t>();
  }
  const auto date = parse_date(get_text(in, "eclipse"));
  if (!date) throw BadMember{"\"eclipse\""};
  header.eclipse = *date;
  using contacts::Kind;
  header.kind = one_of(in, "eclipse_kind", {Kind::none, Kind::partial, Kind::annular, Kind::total});
  const auto& site = member(in, "site");
  header.site = {{get_number(site, "latitude")},
                 {get_number(site, "longitude")},
                 {get_number(site, "ellipsoidal_height_m")}};
  header.zone = get_text_or_empty(in, "zone");
  header.limb = get_text(in, "limb");
  header.solar_radius_arcsec = get_number(in, "solar_radius_arcsec");
  header.dut1 = get_seconds(in, "dut1_s");
  header.delta_t = get_seconds(in, "delta_t_s");
  if (in.contains("moved_us")) header.moved = Duration{get_integer(in, "moved_us")};
  header.contacts = get_contacts(member(in, "contacts"));
  for (const auto& rig : member(in, "rigs")) header.rigs.push_back(planned_rig(rig));
  return header;
}

}  // namespace noonfall::shotlog
