#include "lib/shotlog/codec.h"

#include <set>
#include <string_view>

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include "lib/shotlog/checksum.h"
#include "tests/unit/shotlog/lines.h"

using namespace noonfall;
using namespace noonfall::shotlog;
using namespace std::chrono_literals;

namespace {

/// `body` as a line with a right checksum.
std::string sealed(const std::string& body) {
  return body + ",\"crc\":\"" + crc32c_text(body) + "\"}";
}

std::string refusal(std::string_view text) {
  const auto line = decode(text);
  REQUIRE_FALSE(line);
  return on_one_line(line.error().front());
}

}  // namespace

TEST_CASE("every kind of line reads back as written") {
  for (const auto& line : one_of_each()) {
    const auto text = encode(line);
    CAPTURE(text);
    CHECK(text.back() == '\n');
    const auto back = decode(std::string_view{text}.substr(0, text.size() - 1));
    REQUIRE(back);
    CHECK(*back == line);
  }
}

TEST_CASE("a line is the JSON that the format page describes") {
  const auto text = encode(one_of_each()[2]);
  CHECK(text.starts_with(R"({"seq":3,"utc":"2027-08-02T)"));
  const auto json = nlohmann::json::parse(text);
  CHECK(json["kind"] == "outcome");
  CHECK(json["rig"] == "long");
  CHECK(json["step"] == "corona");
  CHECK(json["frame"] == "3.2");
  CHECK(json["result"] == "fired");
  CHECK(json["late_ms"] == 12.0);
  CHECK(json["exposure"]["shutter"] == "1/500");
  CHECK(json["files"][0] == "NOON0001.RAW");
  CHECK(json["clock"] == "A");
  CHECK(text.substr(text.size() - 19, 8) == ",\"crc\":\"");
}

TEST_CASE(
    "a header without serial numbers and the corona's light is read, and written, as before there were any") {
  auto header = sample_header();
  const auto with = nlohmann::json::parse(encode({1, at(0), {}, header}));
  CHECK(with["rigs"][0]["serial"] == "00\"3012345");
  CHECK(with["rigs"][0]["corona"]["signal"][1]["to_noise"] == 9.25);
  header.rigs[0].serial.clear();
  header.rigs[0].corona.reset();
  const auto text = encode({1, at(0), {}, header});
  const auto without = nlohmann::json::parse(text);
  CHECK_FALSE(without["rigs"][0].contains("serial"));
  CHECK_FALSE(without["rigs"][0].contains("corona"));
  const auto back = decode(std::string_view{text}.substr(0, text.size() - 1));
  REQUIRE(back);
  CHECK(std::get<Header>(back->entry) == header);
}

TEST_CASE("text that isn't UTF-8 is mended, not lost") {
  const auto text = encode({1, at(0), {}, Note{"bad \xff byte"}});
  const auto back = decode(std::string_view{text}.substr(0, text.size() - 1));
  REQUIRE(back);
  CHECK(std::get<Note>(back->entry).words == "bad \xEF\xBF\xBD byte");
}

TEST_CASE("the lengths of sets in turn come back, and a log without them is read as it was") {
  auto header = sample_header();
  header.rigs[0].steps[0].frames_in_turn = {1, 4};
  auto text = encode({1, at(0), {}, header});
  text.pop_back();
  CHECK(text.find(R"("frames_in_turn":[1,4])") != std::string::npos);
  const auto back = decode(text);
  REQUIRE(back);
  CHECK(std::get<Header>(back->entry) == header);
  CHECK(encode({1, at(0), {}, sample_header()}).find("frames_in_turn") == std::string::npos);
}

TEST_CASE("any single changed byte is noticed") {
  auto text = encode(one_of_each()[1]);
  text.pop_back();
  for (std::size_t n = 0; n < text.size(); ++n) {
    auto damaged = text;
    damaged[n] = static_cast<char>(damaged[n] ^ 1);
    CAPTURE(n);
    CHECK_FALSE(decode(damaged));
  }
}

TEST_CASE("a line that can't be used says what is wrong with it") {
  const std::string start = R"({"seq":1,"utc":"2027-08-02T08:00:00Z","clock":"F")";
  CHECK(refusal("") == "the line doesn't end in its checksum");
  CHECK(refusal(R"({"seq":1})") == "the line doesn't end in its checksum");
  CHECK(refusal(R"({"seq":1,"crc":"00000000"})") == "the checksum doesn't match");
  CHECK(refusal(sealed("[1")) == "not JSON (wanted: one JSON object)");
  CHECK(refusal(sealed(R"({"utc":"2027-08-02T08:00:00Z")")) == "\"seq\" is missing (wanted: a whole number)");
  CHECK(refusal(sealed(R"({"seq":"1")")) == "\"seq\" is \"1\" (wanted: a whole number)");
  CHECK(refusal(sealed(start + R"(,"kind":7)")) ==
        "\"kind\" is 7 (wanted: one of \"header\", \"intent\", \"outcome\", \"skip\", \"cue\", \"filter\", "
        "\"fault\", \"clock\", \"command\", \"amendment\", \"ended\", \"note\", \"look\")");
  CHECK(refusal(sealed(start + R"(,"kind":"command","command":"nudge","rig":"a")")) ==
        "\"command\" is \"nudge\" (wanted: one of \"hold\", \"resume\", \"trim\", \"skip\", \"filter\", "
        "\"clock\", \"stop\")");
  CHECK(refusal(sealed(start + R"(,"kind":"command","words":"hold")")) ==
        "\"words\" is \"hold\" (wanted: a command)");
  CHECK(refusal(sealed(start + R"(,"kind":"skip","rig":"a","step":"b","frame":"0.1")")) ==
        "\"frame\" is \"0.1\" (wanted: a frame like \"3.2\")");
  CHECK(refusal(sealed(start + R"(,"kind":"header","noonfall_shot_log":3)")) ==
        "\"noonfall_shot_log\" is 3 (wanted: version 1 to 2)");
  CHECK(decode(sealed(start + R"(,"kind":"note","words":"x","later":[1,2])")));
}

TEST_CASE("a kind of line that a later version has is a note, with its words if it has some") {
  const std::string start = R"({"seq":1,"utc":"2027-08-02T08:00:00Z","clock":"F","kind":"poem")";
  const auto bare = decode(sealed(start));
  REQUIRE(bare);
  CHECK(bare->entry == Entry{Note{"a line of a kind that isn't known here: \"poem\""}});
  const auto said = decode(sealed(start + R"(,"words":"so dark")"));
  REQUIRE(said);
  CHECK(said->entry == Entry{Note{"so dark"}});
}

TEST_CASE("every command reads back as the command it was") {
  for (const auto& command :
       std::vector<Command>{Hold{"a"}, Resume{"a"}, Trim{"a", -2.0 / 3}, SkipStep{"corona"},
                            SetFilter{"a", FilterState::off}, ClockOk{}, Stop{}}) {
    const auto text = encode({1, at(0), {}, CommandLine{command, "why not"}});
    CAPTURE(text);
    const auto back = decode(std::string_view{text}.substr(0, text.size() - 1));
    REQUIRE(back);
    CHECK(back->entry == Entry{CommandLine{command, "why not"}});
  }
}

TEST_CASE("a log of version 1 has sentences where there are facts now, and is read all the same") {
  const std::pair<std::string, Entry> lines[] = {
      {R"("note","words":"the plan is done")", Ended{RunEnd::done}},
      {R"("note","words":"stopped by the operator")", Ended{RunEnd::stopped}},
      {R"("note","words":"the worker hums")", Note{"the worker hums"}},
      {R"("command","words":"trim wide angle -2/3 stop")", CommandLine{Trim{"wide angle", -2.0 / 3}}},
      {R"("command","words":"stop","why":"50 commands")", CommandLine{Stop{}, "50 commands"}},
      {R"("skip","rig":"a","step":"b","frame":"3.2","due_utc":"2027-08-02T08:00:00Z","why":"the step's time was over")",
       Skip{{"a", "b", 3, 2}, Utc{1'817'193'600s}, SkipReason::step_over}},
      {R"("skip","rig":"a","step":"b","due_utc":"2027-08-02T08:00:00Z","why":"the operator skipped the step")",
       Skip{{"a", "b", 0, 0}, Utc{1'817'193'600s}, SkipReason::skipped}},
      {R"("skip","rig":"a","step":"b","why":"there is no C2")",
       Skip{{"a", "b", 0, 0}, {}, SkipReason::not_here, "there is no C2"}},
  };
  for (const auto& each : lines) {
    const auto& text = each.first;
    CAPTURE(text);
    const auto line = decode(sealed(R"({"seq":7,"utc":"2027-08-02T08:00:00Z","clock":"F","kind":)" + text));
    REQUIRE(line);
    CHECK(line->entry == each.second);
  }
}

TEST_CASE("each reason for a skip has a word of its own") {
  std::set<std::string_view> words;
  for (auto reason = SkipReason::other; reason <= SkipReason::not_here;
       reason = static_cast<SkipReason>(static_cast<int>(reason) + 1)) {
    CHECK_FALSE(to_text(reason).empty());
    CHECK(words.insert(to_text(reason)).second);
  }
}
