#include "tests/wire/contract.h"

#include <doctest/doctest.h>

#include "lib/body/shipped.h"

namespace noonfall::tests {

body::Profile contract_profile() {
  return body::find_shipped("mirrorless-20").value();
}

/// Each answer comes when it says, and not before its call.
rig::DeviceAnswer ContractBody::ask(const rig::DeviceCall& call) {
  const auto asked = now();
  auto answer = camera().answer(call, asked);
  CHECK(answer.at >= asked);
  CHECK(answer.at <= now());
  CHECK((answer.answer == rig::Answer::ok || !answer.why.empty()));
  return answer;
}

rig::DeviceAnswer ContractBody::set(const exposure::Exposure& exposure, body::Drive drive) {
  return ask(rig::SettingsCall{exposure, drive});
}

rig::DeviceAnswer ContractBody::release(int frames) {
  rig::ReleaseCall call{{}, now() + std::chrono::hours{1}};
  for (int n = 0; n < frames; ++n) call.frames.push_back({.frame = ++frames_});
  auto answer = ask(call);
  if (answer.answer != rig::Answer::ok) frames_ -= frames;
  return answer;
}

namespace {

template <class Ask>
rig::DeviceAnswer when_free(const Ask& ask) {
  const auto give_up = std::chrono::steady_clock::now() + patience;
  auto answer = ask();
  while (answer.answer == rig::Answer::busy && std::chrono::steady_clock::now() < give_up) answer = ask();
  return answer;
}

}  // namespace

rig::DeviceAnswer ContractBody::set_when_free(const exposure::Exposure& exposure, body::Drive drive) {
  return set_when_free({exposure, drive});
}

rig::DeviceAnswer ContractBody::set_when_free(const rig::SettingsCall& call) {
  return when_free([&] { return ask(call); });
}

rig::DeviceAnswer ContractBody::release_when_free(int frames) {
  return when_free([&] { return release(frames); });
}

}  // namespace noonfall::tests
