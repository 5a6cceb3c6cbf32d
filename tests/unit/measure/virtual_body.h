// Runs a series on a simulated body in virtual time.
#pragma once

#include "lib/measure/series.h"
#include "lib/ports/camera.h"
#include "sim/body/simulated_body.h"

namespace noonfall::tests {

inline body::BodySheet sheet_of(const body::Profile& profile) {
  body::BodySheet sheet;
  sheet.serial = "3012345";
  sheet.model = "simulated " + profile.name;
  sheet.choices = profile.choices;
  sheet.offers_burst = !profile.continuous.empty();
  sheet.opening = body::OpeningStamp::told;
  sheet.card = body::Card{profile.card, profile.card, false};
  return sheet;
}

inline measure::Series run_series(ports::Camera& camera, const measure::Subject& subject) {
  measure::Series series{subject};
  Utc now{std::chrono::hours{24 * 365 * 57}};
  while (const auto ask = series.next()) {
    const auto called = now + ask->rest;
    auto answer = camera.answer(measure::call_at(*ask, called), called);
    now = answer.at;
    series.hear(called, std::move(answer));
  }
  return series;
}

inline measure::Series run_series(sim::BodySetup setup) {
  const measure::Subject subject{setup.profile.choices, !setup.profile.continuous.empty()};
  sim::SimulatedBody body{std::move(setup)};
  return run_series(body, subject);
}

}  // namespace noonfall::tests
