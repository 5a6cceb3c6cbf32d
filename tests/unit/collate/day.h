// A rehearsed day and the photographs its cameras would have brought home, each with a clock of its own.
#pragma once

#include <functional>
#include <random>
#include <string>
#include <vector>

#include "lib/collate/collate.h"
#include "sim/rehearse/rehearsal.h"

namespace noonfall::tests {

/// The demo plan's rehearsal; made once.
struct Day {
  std::vector<std::string> rigs;
  sim::Rehearsed rehearsed;
};
const Day& demo_day();

/// What a photograph is of, for the test to know.
struct Truth {
  collate::Photo photo;
  std::string rig;  // empty: by hand
  Utc opened;
};

struct Camera {
  std::string name;
  std::function<Utc(Utc)> clock;  // what it shows
  Duration grain{10'000};
};

/// `clock` shows UTC + ahead, and gains so much a day from the day's first frame on.
std::function<Utc(Utc)> clock_with(Duration ahead, double gains_s_a_day);

/// Everything that the rig's body took.
std::vector<Truth> roll_of(const Day& day, std::size_t rig, const Camera& camera);

/// Every tenth of a mille so many are lost.
void lose(std::vector<Truth>& roll, double share, std::mt19937& luck);
/// Pictures of the same camera that nobody ordered, at any instant of the roll, with settings of its frames.
void add_by_hand(std::vector<Truth>& roll, double share, const Camera& camera, std::mt19937& luck);
/// Names that say nothing, in no order.
void rename(std::vector<Truth>& roll, std::mt19937& luck);

std::vector<collate::Photo> photos_of(const std::vector<Truth>& roll);

/// How the rows came out, by the truth.
struct Score {
  int right = 0;           // matched to its own frame
  int wrong = 0;           // matched to another, or though by hand
  int by_hand = 0;         // rightly
  int not_recognised = 0;  // a frame's, and called by hand
  int doubtful = 0;
  int missing = 0;
};
Score score(const collate::Collation& all, const std::vector<Truth>& roll);

}  // namespace noonfall::tests
