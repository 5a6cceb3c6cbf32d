// Times, kind and coverage for very many sites of one eclipse, and nothing else, fast.
#pragma once

#include "lib/contacts/settings.h"
#include "lib/contacts/solve.h"

namespace noonfall::contacts {

/// Instants are by ContactName; those that don't happen are meaningless, as ContactHours says.
struct BriefCircumstances {
  Kind kind = Kind::none;
  std::array<Utc, 5> utc{};
  double magnitude = 0;
  double obscuration = 0;
};

class Batch {
 public:
  Batch(const Elements& elements, const Settings& settings);
  [[nodiscard]] BriefCircumstances operator()(const Site& site) const;

 private:
  /// The hours with the bend of light in them.
  [[nodiscard]] std::array<double, 5> bent(const Site& site, const ContactHours& hours) const;

  Shadow shadow_;
  Elements elements_;
  Settings settings_;
  Utc t0_;
  bool one_offset_;  // no leap second near: UTC is t0 plus the hours
};

}  // namespace noonfall::contacts
