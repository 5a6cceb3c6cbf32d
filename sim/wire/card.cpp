#include "sim/wire/card.h"

#include <algorithm>
#include <utility>

namespace noonfall::wire {
namespace {

constexpr Handle first_held = 0x80000001;

/// "a/b/c" -> {"a/b", "c"}; without a slash {"", name}.
std::pair<std::string, std::string> split(const std::string& path) {
  const auto slash = path.rfind('/');
  if (slash == std::string::npos) return {{}, path};
  return {path.substr(0, slash), path.substr(slash + 1)};
}

template <class Keep>
std::vector<Handle> handles(const std::vector<CardObject>& objects, Keep keep) {
  std::vector<Handle> kept;
  for (const auto& object : objects) {
    if (keep(object)) kept.push_back(object.handle);
  }
  return kept;
}

}  // namespace

Handle Card::add_file(const std::string& path, std::uint32_t size, Utc captured, Utc written,
                      std::uint32_t store) {
  const auto [where, name] = split(path);
  const auto parent = folder(where, store);
  const auto handle = static_cast<Handle>(objects_.size() + 1);
  objects_.push_back({handle, parent, store, name, false, size, written, captured});
  return handle;
}

Handle Card::folder(const std::string& path, std::uint32_t store) {
  if (path.empty()) return 0;
  const auto [where, name] = split(path);
  const auto parent = folder(where, store);
  const auto there = std::ranges::find_if(objects_, [&, &named = name](const CardObject& object) {
    return object.is_folder && object.store == store && object.parent == parent && object.name == named;
  });
  if (there != objects_.end()) return there->handle;
  const auto handle = static_cast<Handle>(objects_.size() + 1);
  objects_.push_back({handle, parent, store, name, true});
  return handle;
}

Handle Card::hold(const std::string& name, std::uint32_t size, Utc captured, Utc there_from) {
  const auto handle = first_held + held_so_far_++;
  held_.push_back({handle, 0, card_storage, name, false, size, there_from, captured});
  return handle;
}

void Card::let_go(Handle held) {
  std::erase_if(held_, [&](const CardObject& object) { return object.handle == held; });
}

bool Card::is_held(Handle handle) const {
  return std::ranges::find(held_, handle, &CardObject::handle) != held_.end();
}

const CardObject* Card::find(Handle handle, Utc now) const {
  const auto& from = handle >= first_held ? held_ : objects_;
  const auto found = std::ranges::find(from, handle, &CardObject::handle);
  return found != from.end() && found->written <= now ? &*found : nullptr;
}

std::vector<Handle> Card::all(std::uint32_t store, Utc now) const {
  return handles(objects_, [&](const CardObject& object) {
    return object.written <= now && (store == every || object.store == store);
  });
}

std::vector<Handle> Card::in(Handle folder, std::uint32_t store, Utc now) const {
  return handles(objects_, [&](const CardObject& object) {
    return object.written <= now && object.parent == folder && (store == every || object.store == store);
  });
}

std::vector<Handle> Card::held(Utc now) const {
  return handles(held_, [&](const CardObject& object) { return object.written <= now; });
}

}  // namespace noonfall::wire
