#include "lib/shotlog/account.h"

#include <doctest/doctest.h>

#include "tests/unit/shotlog/lines.h"

using namespace noonfall;
using namespace noonfall::shotlog;

namespace {

/// A line a second, after the header.
Account account_with(const std::vector<Entry>& entries) {
  Account account;
  std::int64_t seq = 0;
  account.take({++seq, at(0), {}, sample_header()});
  for (const auto& entry : entries) {
    ++seq;
    account.take({seq, at(seq * 1000), {}, entry});
  }
  return account;
}

const FrameName first{"long", "corona", 1, 1};
const FrameName second{"long", "corona", 1, 2};

FrameOutcome word(const FrameName& frame, order::Outcome result) {
  return {.frame = frame, .result = result, .due = at(6'000)};
}

}  // namespace

TEST_CASE("a frame keeps what was asked and the last word on it, whatever came between") {
  const Intent asked{first, 7, at(6'000), at(8'000), sample_exposure()};
  auto late = word(first, order::Outcome::fired);
  late.opened = at(6'012);
  const auto account = account_with(
      {asked, word(first, order::Outcome::unknown), late, Intent{second, 9, at(7'000), at(8'000), {}}});
  REQUIRE(account.frames.size() == 2);
  CHECK(account.frames.at(first).asked == asked);
  CHECK(account.frames.at(first).last == late);
  CHECK_FALSE(account.frames.at(second).last.has_value());
  CHECK(account.last_order == 9);
  CHECK(account.last_seq == 5);
}

TEST_CASE("a frame that was skipped has a word for it, one that its step's end left untaken is over") {
  const auto account = account_with(
      {Skip{first, at(6'000), SkipReason::held}, Skip{second, at(7'000), SkipReason::step_over}});
  CHECK(account.frames.at(first).last->why == "the rig was held");
  CHECK(account.frames.at(first).is(order::Outcome::skipped));
  CHECK_FALSE(account.frames.at(first).over);
  CHECK(account.frames.at(second).over);
}

TEST_CASE("the frames of a rig or step are those of that name and no other") {
  const FrameName others[] = {{"lon", "corona", 1, 1},
                              {"long", "coron", 1, 1},
                              {"long", "corona 2", 1, 1},
                              {"long 2", "corona", 1, 1}};
  std::vector<Entry> entries{word(first, order::Outcome::fired), word(second, order::Outcome::fired)};
  for (const auto& other : others) entries.emplace_back(word(other, order::Outcome::fired));
  const auto account = account_with(entries);
  const auto of_step = account.of("long", "corona");
  const auto of_rig = account.of("long");
  CHECK(std::distance(of_step.begin(), of_step.end()) == 2);
  CHECK(std::distance(of_rig.begin(), of_rig.end()) == 4);
}

TEST_CASE("a body is away from the first word of it until it is ready, or fires") {
  const auto account =
      account_with({BodyNews{"long", false, "off the line"}, BodyNews{"long", false, "still away"},
                    BodyNews{"long", true, {}}, BodyNews{"long", false, "again"},
                    word(first, order::Outcome::fired), BodyNews{"long", false, "for good"}});
  const auto& rig = account.rigs.at("long");
  REQUIRE(rig.away.size() == 3);
  CHECK(rig.away[0].from == at(2'000));
  CHECK(rig.away[0].until == at(4'000));
  CHECK(rig.away[0].why == "off the line");
  CHECK(rig.away[0].words == "still away");
  CHECK(rig.away[1].until == at(6'000));
  REQUIRE(rig.away_now() != nullptr);
  CHECK(rig.away_now()->why == "for good");
}

TEST_CASE("what the operator asked for and was carried out holds, the rest does not") {
  const auto account =
      account_with({CommandLine{Hold{"long"}}, CommandLine{Hold{"wide"}}, CommandLine{Resume{"wide"}},
                    CommandLine{Trim{"wide", -1}}, CommandLine{Trim{"wide", 0.5}},
                    CommandLine{SkipStep{"corona"}}, CommandLine{Resume{"long"}, "refused"}});
  CHECK(account.rigs.at("long").held);
  CHECK_FALSE(account.rigs.at("wide").held);
  CHECK(account.rigs.at("wide").trim == -0.5);
  CHECK(account.skipped == std::set<std::string>{"corona"});
}

TEST_CASE("an amendment opens the run again, with the steps that the sky of another plan had no room for") {
  const auto account = account_with(
      {word(first, order::Outcome::fired),
       Skip{{"long", "corona", 0, 0}, {}, SkipReason::not_here, "there is no C2"},
       Skip{{"long", "beads", 0, 0}, at(0), SkipReason::skipped}, Ended{RunEnd::done},
       Amendment{moved_header(), "moved"}, word({"long", "beads", 1, 1}, order::Outcome::fired)});
  CHECK_FALSE(account.ended.has_value());
  CHECK(account.plan() == moved_header());
  CHECK(account.frames.at(first).plan == 0);
  CHECK(account.frames.at({"long", "beads", 1, 1}).plan == 1);
  const auto& left_out = account.rigs.at("long").left_out;
  REQUIRE(left_out.size() == 1);
  CHECK(left_out.contains("beads"));
}

TEST_CASE("a filter is coming off while the words for it are under way, and late until it is on again") {
  const CueLine off{"Camera filter off, long.", at(0), {}, FilterCue{"long", FilterState::off}};
  const CueLine back{"Camera filter back on, long.", at(0), {}, FilterCue{"long", FilterState::on, true}};
  CHECK(account_with({off}).rigs.at("long").filter.coming_off);
  const auto spoken = account_with({off, FilterChange{"long", FilterState::off, false, {}}, back});
  CHECK_FALSE(spoken.rigs.at("long").filter.coming_off);
  CHECK(spoken.rigs.at("long").filter.late == at(4'000));
  const auto on_again = account_with({back, FilterChange{"long", FilterState::on, false, {}}});
  CHECK_FALSE(on_again.rigs.at("long").filter.late.has_value());
}
