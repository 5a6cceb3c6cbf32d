#include "sim/wire/dialect.h"

#include <algorithm>

#include "lib/base/match.h"

#include "sim/wire/ptp_codes.h"

namespace noonfall::wire {

std::vector<Store> Dialect::stores() const {
  std::vector<Store> stores{Store{}};
  if (traits_.second_card || traits_.backup_slot) stores.push_back({second_storage, "second card"});
  return stores;
}

Bytes Dialect::store_ids() const {
  std::vector<std::uint32_t> ids;
  for (const auto& store : stores()) ids.push_back(store.id);
  return ByteWriter{}.array(ids).take();
}

Reply plain(std::uint16_t response, Utc now) {
  return {.response = response, .at = now};
}

Reply with_data(Bytes data, Utc now) {
  return {.response = response::ok, .data = std::move(data), .at = now};
}

Reply reply_to(const CameraAnswer& answer, Utc now) {
  switch (answer.answer) {
    case rig::Answer::ok:
      return plain(response::ok, now);
    case rig::Answer::busy:
      return plain(response::device_busy, now);
    case rig::Answer::refused:
      return plain(answer.why == "card full" ? response::store_full : response::access_denied, now);
    case rig::Answer::gone:
    case rig::Answer::no_word:
      break;
  }
  return {.response = response::ok, .at = Utc::max()};
}

namespace {

std::optional<Container> event_of(const Notice& notice, const Card& card, const PipeCodes& codes) {
  const auto told = [](std::uint16_t code, const std::vector<std::uint32_t>& parameters) {
    return code == 0 ? std::nullopt : std::optional{container(ContainerType::event, code, 0, parameters)};
  };
  return std::visit(Match{[&](const PictureAdded& added) {
                            if (!card.is_held(added.handle)) return told(codes.added, {added.handle});
                            return told(codes.added_in_memory, {codes.picture.value_or(added.handle)});
                          },
                          [&](const FrameComplete&) { return told(codes.complete, {}); },
                          [&](const SettingChanged& changed) {
                            return told(codes.changed, {codes.settings.at(changed.value.index())});
                          },
                          [&](const OtherChanged& other) { return told(codes.changed, {other.code}); }},
                    notice.what);
}

}  // namespace

std::optional<Container> told_by_pipe(TetheredCamera& camera, const PipeCodes& codes, Utc now) {
  while (const auto notice = camera.notice(now)) {
    if (auto told = event_of(*notice, camera.card(), codes)) return told;
  }
  return std::nullopt;
}

Reply set_property(const Property& property, const Bytes& wanted, Utc now) {
  const auto& description = property.description;
  if (!property.set || description.access == Access::read_only) return plain(response::access_denied, now);
  ByteReader reader{wanted};
  const auto value = read_like(reader, description.current);
  if (!reader.done()) return plain(response::invalid_device_prop_format, now);
  if (!allows(description.form, value)) return plain(response::invalid_device_prop_value, now);
  const auto answer = property.set(value, now);
  return reply_to(answer, std::max(now, answer.at));
}

}  // namespace noonfall::wire
