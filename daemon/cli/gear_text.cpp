#include "daemon/cli/gear_text.h"

#include <optional>
#include <set>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "lib/base/nearest_word.h"
#include "lib/base/number.h"
#include "lib/base/plain_text.h"

namespace noonfall::cli {
namespace {

struct Bounds {
  double low;
  double high;
};

/// "600mm" or "600 mm".
std::optional<double> parse_length(std::string_view text, std::string_view unit, Bounds bounds) {
  if (!text.ends_with(unit)) return std::nullopt;
  const auto value = parse_decimal(trim(text.substr(0, text.size() - unit.size())));
  return value && *value >= bounds.low && *value <= bounds.high ? value : std::nullopt;
}

class Reader {
 public:
  Reader(const GearText& text, const std::map<std::string, body::Profile>& profiles, std::string& errors)
      : text_{text}, profiles_{profiles}, errors_{errors} {}

  draft::Gear read() {
    draft::Gear gear;
    gear.focal_length.value = wanted("--focal", parse_length(of("--focal"), "mm", {1, 5000}),
                                     "a length from 1 to 5000 mm, like 600mm");
    const auto aperture = exposure::parse_f_number(of("--aperture"));
    if (!aperture) refuse("--aperture", "an f-number from f/0.7 to f/128, like f/8");
    gear.aperture = aperture.value_or(exposure::FNumber{});
    read_filter(gear);
    read_body(gear);
    read_sensor(gear);
    const auto mount = of("--mount");
    if (mount == "tracking")
      gear.mount = plan::Mount::tracking;
    else if (!mount.empty() && mount != "fixed")
      refuse("--mount", "fixed or tracking");
    const auto name = of("--rig");
    gear.name = !name.empty() ? name : gear.filter_density ? "long" : "landscape";
    return gear;
  }

 private:
  [[nodiscard]] std::string of(const std::string& option) const {
    const auto found = text_.find(option);
    return found == text_.end() ? std::string{} : found->second;
  }

  void refuse(const std::string& option, const std::string& wanted) {
    const auto text = of(option);
    errors_ += fmt::format(
        "noonfall: {}: {}; wanted {}\n", option,
        text.empty() ? std::string{"missing"} : fmt::format("\"{}\" isn't understood", plain_line(text)),
        wanted);
  }

  double wanted(const std::string& option, std::optional<double> value, const std::string& words) {
    if (!value) refuse(option, words);
    return value.value_or(1);
  }

  void read_filter(draft::Gear& gear) {
    gear.filter_density.reset();
    if (of("--filter") == "none") {
      if (gear.focal_length > Millimetres{35})
        refuse("--filter", "a density, like 5.0: only a lens of at most 35 mm goes without a filter");
      else if (gear.aperture.tenths < 80)
        errors_ += "noonfall: --aperture: a lens without a filter is stopped down; wanted f/8 or smaller\n";
      return;
    }
    const auto density = parse_decimal(of("--filter"));
    if (!density || *density < 3 || *density > 7)
      return refuse("--filter", "a density from 3 to 7, like 5.0, or none");
    gear.filter_density = density;
  }

  void read_body(draft::Gear& gear) {
    const auto name = of("--body");
    if (!of("--by-hand").empty() || name == "by-hand") return;
    const auto found = profiles_.find(name);
    if (found != profiles_.end()) {
      gear.body = found->second;
      return;
    }
    std::vector<std::string_view> names;
    for (const auto& [known, profile] : profiles_) names.push_back(known);
    const auto nearest = nearest_word(name, names);
    refuse("--body",
           nearest.empty() ? fmt::format("one of {}, or by-hand", fmt::join(names, ", ")) : nearest);
  }

  void read_sensor(draft::Gear& gear) {
    const auto sides = of("--sensor");
    const auto pixel = of("--pixel");
    if (sides.empty() && pixel.empty()) return;
    const auto by = sides.find('x');
    const auto width =
        by == std::string::npos ? std::nullopt : parse_length(sides.substr(0, by) + "mm", "mm", {1, 200});
    const auto height =
        by == std::string::npos ? std::nullopt : parse_length(sides.substr(by + 1), "mm", {1, 200});
    const auto pitch = parse_length(pixel, "um", {0.5, 50});
    if (!width || !height) refuse("--sensor", "width and height from 1 to 200 mm, like 35.9x23.9mm");
    if (!pitch) refuse("--pixel", "a pixel pitch from 0.5 to 50 um, like 5.9um");
    if (width && height && pitch) gear.sensor = plan::Sensor{{*width}, {*height}, {*pitch}};
  }

  const GearText& text_;
  const std::map<std::string, body::Profile>& profiles_;
  std::string& errors_;
};

}  // namespace

tl::expected<std::vector<draft::Gear>, std::string> read_gear(
    const std::vector<GearText>& rigs, const std::map<std::string, body::Profile>& profiles) {
  std::string errors;
  std::vector<draft::Gear> gear;
  std::set<std::string> names;
  for (const auto& rig : rigs) {
    gear.push_back(Reader{rig, profiles, errors}.read());
    if (!names.insert(gear.back().name).second)
      errors +=
          fmt::format("noonfall: --rig: \"{}\" for the second time; wanted a name of its own for each rig\n",
                      plain_line(gear.back().name));
  }
  if (!errors.empty()) return tl::unexpected{errors};
  return gear;
}

}  // namespace noonfall::cli
