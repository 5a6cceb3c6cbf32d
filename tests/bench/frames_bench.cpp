// How many frames a second are rendered and written as JPEG in memory, at 1500 x 1000, by one core and by
// all. The bar is 10 a second on two cores; JPEG alone stands beside it.
#include <benchmark/benchmark.h>

#include "daemon/pictures/photograph.h"
#include "lib/contacts/circumstances.h"
#include "lib/time/utc_text.h"
#include "sim/sky/exposed.h"

namespace {

using namespace noonfall;
using namespace std::chrono_literals;

struct Shot {
  sim::Scene scene;
  sim::Corona corona{1};
  sim::Imager imager;
  sim::Shooting shooting;
};

/// A corona of 1/60 s at mid-eclipse.
const Shot& shot() {
  static const auto made = [] {
    const auto& elements = *contacts::find_elements(contacts::built_in_elements(), *parse_date("2027-08-02"));
    const contacts::Site site{{36.0139}, {-5.6033}, {12}};
    const auto here = contacts::circumstances(elements, site);
    const auto at = here.at(contacts::ContactName::mid)->utc;
    Shot out{{elements, {}, site, nullptr}, sim::Corona{1}, {}, {}};
    out.shooting = {at, at + 16ms, {{1, 60}, exposure::FNumber{80}, {400}}, 0, out.scene.at(at), 1};
    return out;
  }();
  return made;
}

std::vector<std::uint8_t> rendered() {
  const auto& s = shot();
  return sim::to_srgb(
      sim::exposed(sim::radiance(s.scene, s.corona, s.imager, s.shooting), s.imager, s.shooting));
}

void render_frame(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(pictures::to_jpeg(rendered(), 1500, 1000));
  state.counters["frames"] =
      benchmark::Counter(static_cast<double>(state.iterations()), benchmark::Counter::kIsRate);
}

void jpeg_alone(benchmark::State& state) {
  const auto pixels = rendered();
  for (auto _ : state) benchmark::DoNotOptimize(pictures::to_jpeg(pixels, 1500, 1000));
}

BENCHMARK(render_frame)->Unit(benchmark::kMillisecond)->UseRealTime()->Threads(1)->Threads(2);
BENCHMARK(jpeg_alone)->Unit(benchmark::kMillisecond);

}  // namespace
