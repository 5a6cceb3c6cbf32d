// Words that the report has for instants, lines and counts, whatever it is printed as. None is made plain
// yet.
#pragma once

#include <string>
#include <vector>

#include "lib/report/summary.h"
#include "lib/time/zone.h"

namespace noonfall::report {

/// "10:45:09.5": at the place, where it has a zone, otherwise UTC.
[[nodiscard]] std::string clock_text(Utc instant, const LocalClock& local);
/// "10:45:09.5 (08:45:09.5 UTC)".
[[nodiscard]] std::string when(Utc instant, const LocalClock& local);

/// "the event", "a dress rehearsal", "a rehearsal on simulated bodies".
[[nodiscard]] std::string mode_text(shotlog::Mode mode);
/// Whose C2 and C3 these are, a sentence; empty of an eclipse without them.
[[nodiscard]] std::string edge_text(const shotlog::Header& header);
/// What is to be known of the log before its numbers are believed, a sentence each.
[[nodiscard]] std::vector<std::string> remarks(const Summary& summary);
/// What a line of the story says; empty for one that says nothing to a person.
[[nodiscard]] std::string words_of(const shotlog::Entry& entry);
/// "93 % of the 278.6 s of totality in use, 612 frames".
[[nodiscard]] std::string use_text(const TotalityUse& use);
/// "12", "3.4": signal to noise as anybody reads it.
[[nodiscard]] std::string to_noise_text(double to_noise);
/// "740 files (370 RAW, 370 JPG), NOON0001.RAW to NOON0370.JPG; 2 frames more may be there".
[[nodiscard]] std::string card_text(const CardContent& card);
/// "1 s and 1/2 at ISO 400": what darks would suit; and likewise flats. Empty for none.
[[nodiscard]] std::string darks_text(const CardContent& card);
[[nodiscard]] std::string flats_text(const CardContent& card);

[[nodiscard]] int never_asked(const Summary& summary);

}  // namespace noonfall::report
