// The pictures of a body as objects on its card, and those it holds for the host alone.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "lib/exposure/exposure.h"
#include "lib/time/utc.h"
#include "sim/wire/ptp_codes.h"

namespace noonfall::wire {

using Handle = std::uint32_t;

struct CardObject {
  Handle handle = 0;
  Handle parent = 0;  // 0 at the root
  std::uint32_t store = card_storage;
  std::string name;
  bool is_folder = false;
  std::uint32_t size = 0;    // bytes
  Utc written = Utc::min();  // it is there from then on
  Utc captured{};
  bool operator==(const CardObject&) const = default;
};

class Card {
 public:
  /// A file by its path on the card, "DCIM/100NOONF/NOON0001.RAW"; its folders are made where missing. Stores
  /// are cards of their own.
  Handle add_file(const std::string& path, std::uint32_t size, Utc captured, Utc written,
                  std::uint32_t store = card_storage);
  /// A picture that is on no card: it is there until the host has taken it.
  Handle hold(const std::string& name, std::uint32_t size, Utc captured, Utc there_from);
  void let_go(Handle held);

  [[nodiscard]] const CardObject* find(Handle handle, Utc now) const;
  [[nodiscard]] bool is_held(Handle handle) const;
  [[nodiscard]] int held() const { return static_cast<int>(held_.size()); }
  /// Every object of a card, or of `every`, that is there, in the order made.
  [[nodiscard]] std::vector<Handle> all(std::uint32_t store, Utc now) const;
  [[nodiscard]] std::vector<Handle> in(Handle folder, std::uint32_t store, Utc now) const;
  /// Those held, the oldest first.
  [[nodiscard]] std::vector<Handle> held(Utc now) const;

 private:
  Handle folder(const std::string& path, std::uint32_t store);

  std::vector<CardObject> objects_;  // handle n at n - 1
  std::vector<CardObject> held_;
  std::uint32_t held_so_far_ = 0;
};

}  // namespace noonfall::wire
