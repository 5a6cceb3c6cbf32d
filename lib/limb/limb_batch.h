// Times, kind and coverage with the Moon's real edge for many sites of one eclipse.
#pragma once

#include "lib/contacts/batch.h"
#include "lib/limb/limb_contacts.h"

namespace noonfall::limb {

/// As contacts::Batch, whose speed it has wherever the edge decides nothing. `strip` must outlive it.
class LimbBatch {
 public:
  LimbBatch(const Strip& strip, const contacts::Elements& elements, const contacts::Settings& settings);
  [[nodiscard]] contacts::BriefCircumstances operator()(const contacts::Site& site) const;

 private:
  const Strip* strip_;
  contacts::Elements elements_;
  contacts::Settings settings_;
  contacts::Shadow shadow_;
  contacts::Batch batch_;
};

}  // namespace noonfall::limb
