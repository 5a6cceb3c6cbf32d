// Contacts with the Moon's real edge: C2 and C3 where the last and the first photosphere shows.
#pragma once

#include <memory>

#include "lib/contacts/batch.h"
#include "lib/contacts/circumstances.h"
#include "lib/limb/edges.h"

namespace noonfall::limb {

/// Of C2 or C3, by the Moon's edge alone: against a smooth Moon of radius k2 before the same Sun, positive
/// where the edge makes the contact later. Empty where the smooth Moon has no such contact.
using Correction = std::optional<Duration>;

/// C1 and C4 are those of the smooth Moon. The kind is the real edge's: total where no photosphere shows for
/// a while, annular where the photosphere is a whole ring for a while, else partial.
struct LimbContacts {
  contacts::Circumstances circumstances;
  Correction c2_correction;
  Correction c3_correction;
  /// When the eclipse is total (or annular), hours of TT from t0. Near the limits of the path a bead may
  /// interrupt it: C2 and C3 are the ends of the longest spell.
  std::vector<Spell> spells;
  Spell longest{};                     // C2 and C3; meaningless without spells
  std::shared_ptr<const Edges> edges;  // empty far from the path, where the edge decides nothing
};

/// Whether the Moon's edge can make or break, or move, C2 and C3 where the smooth Moon gives `mean`.
[[nodiscard]] bool edge_decides(const Scene& scene, const contacts::ContactHours& mean);

/// `settings.limb` is ignored: this is the profile.
[[nodiscard]] LimbContacts limb_contacts(const Strip& strip, const contacts::Elements& elements,
                                         const contacts::Site& site, contacts::Settings settings);

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
