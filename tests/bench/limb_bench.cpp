// Both limb-corrected contacts of a site on one core: with the strip to be read from its file first, and with
// it at hand. The bars are 130 ms and 110 ms.
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>

#include <benchmark/benchmark.h>

#include "lib/base/sun.h"
#include "lib/contacts/elements.h"
#include "lib/limb/limb_contacts.h"
#include "tests/source_folder.h"

namespace {

using namespace noonfall;

std::string strip_path() {
  const char* folder = std::getenv("NOONFALL_REFERENCE");
  const auto base = folder != nullptr ? std::filesystem::path{folder}
                                      : std::filesystem::path{NOONFALL_SOURCE}.parent_path() / "shared";
  return (base / "limb/lunar_limb_16x16.llb").string();
}

std::optional<limb::Strip> load() {
  std::ifstream file{strip_path(), std::ios::binary};
  const std::string bytes{std::istreambuf_iterator<char>{file}, {}};
  auto strip = limb::parse_strip(bytes);
  return strip ? std::optional{std::move(*strip)} : std::nullopt;
}

/// Totality of 2027 August 2 on the strait of Gibraltar.
limb::LimbContacts solve(const limb::Strip& strip) {
  static const auto* elements =
      contacts::find_elements(contacts::built_in_elements(), *parse_date("2027-08-02"));
  contacts::Settings settings;
  settings.solar_radius = measured_solar_radius;
  return limb::limb_contacts(strip, *elements, {{36.0139}, {-5.6033}, {12}}, settings);
}

void file_and_contacts(benchmark::State& state) {
  for (auto _ : state) {
    const auto strip = load();
    if (!strip) return state.SkipWithError("no reference strip");
    benchmark::DoNotOptimize(solve(*strip));
  }
}
BENCHMARK(file_and_contacts)->Unit(benchmark::kMillisecond);

void contacts_alone(benchmark::State& state) {
  const auto strip = load();
  if (!strip) return state.SkipWithError("no reference strip");
  for (auto _ : state) benchmark::DoNotOptimize(solve(*strip));
}
BENCHMARK(contacts_alone)->Unit(benchmark::kMillisecond);

}  // namespace
