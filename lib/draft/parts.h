// The steps of one rig: all of totality, the ring or the partial phase behind the filter, the landscape.
#pragma once

#include "lib/draft/book.h"
#include "lib/draft/phases.h"

namespace noonfall::draft {

/// The Sun is up some seconds before C2 and after C3.
[[nodiscard]] bool inner_contacts_are_up(const contacts::Circumstances& sky, const Book& book);

void write_total(const Gear& gear, const Totality& parts, const contacts::Circumstances& sky, Book& book);
void write_annular(const Gear& gear, const contacts::Circumstances& sky, Book& book);
/// The filter stays on: from C1 to C4.
void write_partial(const Gear& gear, Book& book);
void write_landscape(const Gear& gear, const contacts::Circumstances& sky, Book& book);

}  // namespace noonfall::draft
