// Beads, the plot and grazes: what the reference strip's mountains do, on the command line.
#include <cmath>
#include <regex>

#include "lib/time/utc_text.h"
#include "tests/program/contacts/limb_program.h"
#include "tests/reference_file.h"

using namespace noonfall;
using namespace noonfall::tests;
using nlohmann::json;

namespace {

double seconds_between(const json& a, const json& b) {
  return in_seconds(*parse_utc(b.get<std::string>()) - *parse_utc(a.get<std::string>()));
}

struct Spot {
  double x, y;
};

std::vector<Spot> spots(const std::string& svg, const std::string& pattern) {
  std::vector<Spot> list;
  const std::regex shape{pattern};
  for (std::sregex_iterator at{svg.begin(), svg.end(), shape}, end; at != end; ++at)
    list.push_back({std::stod((*at)[1]), std::stod((*at)[2])});
  return list;
}

/// Seconds of beads, 14 high and 4 digits wide, cover neither each other nor a bead.
void labels_are_apart(const std::string& svg) {
  const auto labels = spots(svg,
                            "<text x=\"([0-9.]+)\" y=\"([0-9.]+)\" font-size=\"14\" text-anchor=\"middle\" "
                            "fill=\"#fff\"");
  const auto dots = spots(svg, "<circle cx=\"([0-9.]+)\" cy=\"([0-9.]+)\"");
  REQUIRE(labels.size() > 8);
  REQUIRE(dots.size() > labels.size());
  for (const auto& label : labels) {
    for (const auto& dot : dots)
      CHECK_FALSE((std::abs(dot.x - label.x) < 17 && dot.y < label.y + 5 && dot.y > label.y - 14));
    for (const auto& other : labels)
      CHECK((&other == &label || std::abs(other.x - label.x) > 34 || std::abs(other.y - label.y) > 14));
  }
}
}  // namespace

TEST_CASE("near a limit the Moon's real edge knows more than the distance from a smooth one's") {
  const auto strip = reference_file("limb/lunar_limb_16x16.llb");
  if (!strip) return;
  // The smooth northern limit of 2027 is 36.7618 N at 5.64 W with a Sun of 959.95".
  const auto at = [&](const std::string& latitude, const std::string& more) {
    return noonfall_program("contacts 2027-08-02 --at " + latitude + ",-5.6421 --limb-data " + *strip + more);
  };
  const auto inside = at("36.755", "").out;
  CHECK(has(inside, "km inside the path of a smooth Moon; nearer limit: northern"));
  CHECK(has(inside, "\nBy the Moon's real edge totality is certain here.\n"));
  const auto graze = at("36.7662", "").out;
  CHECK(has(graze, "2027-08-02: total at"));
  CHECK(has(graze, "km outside the path of a smooth Moon"));
  CHECK(has(graze, "\nBy the Moon's real edge whether totality happens here can't be told.\n"));
  const auto path = json::parse(at("36.7662", " --json").out)["path"];
  CHECK(path["inside"] == false);
  CHECK(path["certain"] == false);
  CHECK(json::parse(at("36.755", " --json").out)["path"]["certain"] == true);
  CHECK(has(at("36.7672", "").out, "Partial: 99.9 % of the Sun's diameter and 99.9 % of its area"));
}

TEST_CASE("beads and the plot are of the reference strip's mountains") {
  const auto strip = reference_file("limb/lunar_limb_16x16.llb");
  if (!strip) return;
  const ScratchFolder folder;
  const auto with = tarifa + "--limb-data " + *strip;
  const auto found = json_of(with + " --beads");
  for (const auto* name : {"C2", "C3"}) {
    const auto& beads = found["beads"][name];
    REQUIRE(beads.size() > 5);
    for (const auto& bead : beads) {
      const double after = bead["after_contact_s"].get<double>();
      CHECK(std::abs(seconds_between(found["contacts"][name]["utc"], bead["utc"]) - after) < 0.002);
      CHECK((std::string{name} == "C2" ? after <= 0.001 : after >= -0.001));
      CHECK(bead["life_s"].get<double>() >= 0.25);
    }
  }
  CHECK_FALSE(json_of(with).contains("beads"));
  const auto plot = folder.path("edge.svg");
  const auto told = noonfall_program(with + " --beads --limb-plot " + plot);
  REQUIRE(told.exit == 0);
  for (const auto* part :
       {"by the Moon's edge", "Beads around C2", "Beads around C3", "goes out", "lights up"})
    CHECK(has(told.out, part));
  const auto svg = text_of_file(plot);
  CHECK(svg.starts_with("<svg "));
  CHECK(svg.ends_with("</svg>\n"));
  for (const auto* part : {">zenith<", ">C2<", ">C3<", "Camera filter on outside totality", "<circle "})
    CHECK(has(svg, part));
  CHECK_FALSE(has(svg, "nan"));
  labels_are_apart(svg);
  const auto nowhere = noonfall_program(with + " --zone Nowhere --limb-plot " + folder.path("later.svg"));
  CHECK(nowhere.exit == 2);
  CHECK_FALSE(std::filesystem::exists(folder.path("later.svg")));
  const auto again = noonfall_program(with + " --limb-plot " + plot);
  CHECK(again.exit == 3);
  CHECK(has(again.err, "it exists already"));
  const auto partial = noonfall_program("contacts 2027-08-02 --at 48,2 --limb-plot " + folder.path("p.svg") +
                                        " --limb-data " + *strip);
  CHECK(partial.exit == 1);
  CHECK(has(partial.err, "there is no C2 and C3 at 48,2"));
}
