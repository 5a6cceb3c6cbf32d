#include "sim/wire/ptp_body.h"

#include <algorithm>
#include <limits>
#include <utility>

#include "sim/wire/false_words.h"
#include "sim/wire/object_content.h"
#include "sim/wire/ptp_codes.h"
#include "sim/wire/standard_properties.h"

namespace noonfall::wire {

PtpBody::PtpBody(BodyIdentity identity, sim::BodySetup setup, std::vector<LineFault> line_faults,
                 Duration transaction)
    : identity_{std::move(identity)},
      transaction_{transaction},
      faults_{setup.faults},
      line_faults_{std::make_unique<LineFaults>(std::move(line_faults))},
      camera_{std::make_unique<TetheredCamera>(std::move(setup), *line_faults_, identity_.traits)},
      dialect_{facts_of(identity_.family).make(*camera_, panel_, identity_.traits)} {
  panel_.destination = identity_.traits.saves_to;
}

Presence PtpBody::presence(Utc now) const {
  Presence presence{camera_->battery_percent() > 0, 0};
  for (const auto& fault : faults_) {
    if (!std::holds_alternative<sim::BodyGone>(fault.effect)) continue;
    if (fault.from <= now && now < fault.until) presence.there = false;
    if (fault.until <= now) ++presence.returns;
  }
  return presence;
}

Reply PtpBody::answer(const Request& request, Utc now) {
  if (presence(now).returns != session_returns_) session_open_ = false;
  turn_panel(now);
  const auto refused = refusal(request, now);
  auto reply = refused ? plain(*refused, now) : perform(request, now);
  reply.at = std::max(reply.at, now + transaction_);
  if (const auto slow = line_faults_->slows(request.code, now)) {
    if (slow->late == SlowAnswers::Late::data) reply.data_late_by = slow->by;
    if (slow->late == SlowAnswers::Late::all && reply.at != Utc::max()) reply.at += slow->by;
  }
  if (const auto speaks = line_faults_->silent_until(now)) reply.at = std::max(reply.at, *speaks);
  reply.damage = line_faults_->damages(now);
  return reply;
}

std::optional<std::uint16_t> PtpBody::refusal(const Request& request, Utc now) {
  if (dialect_->releases(request)) return line_faults_->refuses(Asked::release, now);
  return takes_data(request.code) ? line_faults_->refuses(Asked::setting, now) : std::nullopt;
}

void PtpBody::turn_panel(Utc now) {
  const bool fails = line_faults_->focus_fails(now);
  panel_.program = line_faults_->mode_off_manual(now) ? Panel::Program::automatic : Panel::Program::manual;
  panel_.focus = fails ? Panel::Focus::automatic : Panel::Focus::manual;
  panel_.focus_fails = fails;
  panel_.battery_percent = line_faults_->battery_percent(now);
  panel_.false_choices = line_faults_->false_choices(now);
  constexpr int impossible_percent = 250;
  if (line_faults_->lies(FalseWords::About::battery, now)) panel_.battery_percent = impossible_percent;
}

Reply PtpBody::perform(const Request& request, Utc now) {
  if (request.code == operation::get_device_info) return device_info(now);
  if (request.code == operation::open_session) return open_session(now);
  if (!session_open_) return plain(response::session_not_open, now);
  if (auto reply = dialect_->answer(request, now)) return *reply;
  for (const auto part : {&PtpBody::standard, &PtpBody::about_objects, &PtpBody::about_properties}) {
    if (auto reply = (this->*part)(request, now)) return *reply;
  }
  return plain(response::operation_not_supported, now);
}

Reply PtpBody::open_session(Utc now) {
  if (session_open_) return plain(response::session_already_open, now);
  const auto opened = camera_->open(now);
  if (opened.answer != rig::Answer::ok) return reply_to(opened, now);
  session_open_ = true;
  session_returns_ = presence(opened.at).returns;
  return plain(response::ok, opened.at);
}

std::optional<Container> PtpBody::event(Utc now) {
  return line_faults_->silent_until(now) ? std::nullopt : dialect_->event(now);
}

std::optional<Reply> PtpBody::standard(const Request& request, Utc now) {
  switch (request.code) {
    case operation::close_session:
      session_open_ = false;
      return plain(response::ok, now);
    case operation::get_storage_ids:
      return with_data(dialect_->store_ids(), now);
    case operation::get_storage_info:
      return storage_info(request.parameter(0), now);
    default:
      return std::nullopt;
  }
}

Reply PtpBody::device_info(Utc now) const {
  DeviceInfo info;
  info.operations = {operation::get_device_info,
                     operation::open_session,
                     operation::close_session,
                     operation::get_storage_ids,
                     operation::get_storage_info,
                     operation::get_num_objects,
                     operation::get_object_handles,
                     operation::get_object_info,
                     operation::get_object,
                     operation::get_thumb,
                     operation::get_device_prop_desc,
                     operation::get_device_prop_value,
                     operation::set_device_prop_value,
                     operation::get_partial_object};
  info.image_formats = {format::undefined, format::association, format::exif_jpeg};
  info.capture_formats = {format::exif_jpeg};
  info.manufacturer = identity_.traits.maker;
  info.model = identity_.model;
  info.version = "1.0";
  info.serial = line_faults_->other_serial(now).value_or(identity_.serial);
  if (line_faults_->lies(FalseWords::About::serial, now)) info.serial.clear();
  if (line_faults_->lies(FalseWords::About::names, now)) info.model = cursor_codes + info.model;
  dialect_->describe(info);
  return with_data(encode(info), now);
}

Reply PtpBody::storage_info(std::uint32_t id, Utc now) const {
  const auto all = dialect_->stores();
  const auto store = std::ranges::find(all, id, &Store::id);
  if (store == all.end()) return plain(response::invalid_storage_id, now);
  constexpr std::uint16_t read_only_with_deletion = 2;
  StorageInfo info;
  info.access = identity_.traits.read_only_store ? read_only_with_deletion : 0;
  info.storage_type = 4;     // removable memory
  info.filesystem_type = 3;  // folders by the Design rule for Camera File system
  info.capacity = static_cast<std::uint64_t>(camera_->profile().card.value * 1e6);
  const bool full = line_faults_->card_full(now);
  info.free_bytes = full ? 0 : static_cast<std::uint64_t>(std::max(0.0, camera_->card_free().value) * 1e6);
  info.free_images = full ? 0 : static_cast<std::uint32_t>(camera_->frames_left());
  if (line_faults_->lies(FalseWords::About::room, now)) {
    info.free_bytes = std::numeric_limits<std::uint64_t>::max();
    info.free_images = 0;
  }
  info.words = store->words;
  if (store->in_memory) {
    info.storage_type = 3;     // fixed memory
    info.filesystem_type = 2;  // folders of any kind
    info.capacity = info.free_bytes = std::numeric_limits<std::uint64_t>::max();
    info.free_images = every;
  }
  return with_data(encode(info), now);
}

std::optional<Reply> PtpBody::about_objects(const Request& request, Utc now) {
  switch (request.code) {
    case operation::get_num_objects:
    case operation::get_object_handles:
      return object_handles(request, now);
    case operation::get_object_info:
    case operation::get_object:
    case operation::get_partial_object:
    case operation::get_thumb:
      break;
    default:
      return std::nullopt;
  }
  const auto* object = camera_->card().find(dialect_->picture(request.parameter(0), now), now);
  if (object == nullptr) return plain(response::invalid_object_handle, now);
  if (request.code == operation::get_thumb) return thumbnail(*object, now);
  return request.code == operation::get_object_info ? object_info(*object, now)
                                                    : object_bytes(*object, request, now);
}

Reply PtpBody::thumbnail(const CardObject& object, Utc now) const {
  const auto is_it = [&](const std::string& file) { return file.ends_with("/" + object.name); };
  for (auto frame = taken().rbegin(); draw_ && frame != taken().rend(); ++frame) {
    if (std::ranges::none_of(frame->files, is_it)) continue;
    const auto jpeg = draw_(*frame);
    return with_data(Bytes(jpeg.begin(), jpeg.end()), now);
  }
  return plain(response::no_thumbnail_present, now);
}

Reply PtpBody::object_handles(const Request& request, Utc now) const {
  const auto store = request.parameter(0);
  const auto all = dialect_->stores();
  if (all.empty()) return with_data(ByteWriter{}.u32(0).take(), now);
  const bool is_there = store == every || std::ranges::find(all, store, &Store::id) != all.end();
  if (!is_there) return plain(response::invalid_storage_id, now);
  const auto parent = request.parameter(2);
  const auto handles = parent == 0 ? camera_->card().all(store, now)
                                   : camera_->card().in(parent == every ? 0 : parent, store, now);
  if (request.code == operation::get_object_handles)
    return with_data(ByteWriter{}.array(handles).take(), now);
  auto reply = plain(response::ok, now);
  reply.parameters = {static_cast<std::uint32_t>(handles.size())};
  return reply;
}

Reply PtpBody::object_info(const CardObject& object, Utc now) const {
  ObjectInfo info;
  const auto stores = dialect_->stores();
  const bool held = camera_->card().is_held(object.handle);
  info.storage = held && !stores.empty() ? stores.front().id : object.store;
  info.size = object.size;
  info.parent = object.parent;
  info.name = line_faults_->lies(FalseWords::About::names, now) ? cursor_codes + object.name : object.name;
  info.format = object_format(object, dialect_->raw_format());
  if (object.is_folder) info.association_type = 1;
  // Hosts take a file of unknown format without any thumbnail for no picture, and don't fetch it.
  if (!object.is_folder) info.thumb_format = format::jfif;
  // Nor do they ask for one that is said to have no bytes; how many they are isn't known before.
  if (!object.is_folder && draw_) info.thumb_size = 4096;
  info.captured = date_text(object.captured + panel_.clock_error);
  info.modified = info.captured;
  return with_data(encode(info), now);
}

Reply PtpBody::object_bytes(const CardObject& object, const Request& request, Utc now) {
  if (request.code == operation::get_object) {
    auto reply = with_data(object_content(object, 0, object.size), now);
    if (dialect_->lets_go_when_fetched() && camera_->card().is_held(object.handle))
      camera_->fetched(object.handle);
    return reply;
  }
  auto bytes = object_content(object, request.parameter(1), request.parameter(2));
  const auto size = static_cast<std::uint32_t>(bytes.size());
  auto reply = with_data(std::move(bytes), now);
  reply.parameters = {size};
  return reply;
}

std::optional<Reply> PtpBody::about_properties(const Request& request, Utc now) {
  const bool asks =
      request.code == operation::get_device_prop_desc || request.code == operation::get_device_prop_value;
  if (!asks && request.code != operation::set_device_prop_value) return std::nullopt;
  auto property = dialect_->properties().find(static_cast<std::uint16_t>(request.parameter(0)), now);
  if (!property) return plain(response::device_prop_not_supported, now);
  if (!asks) return set_property(*property, request.data, now);
  if (panel_.false_choices) make_false(property->description, *panel_.false_choices);
  if (request.code == operation::get_device_prop_desc) return with_data(encode(property->description), now);
  ByteWriter writer;
  write(writer, property->description.current);
  return with_data(writer.take(), now);
}

}  // namespace noonfall::wire
