#include "daemon/journal/run_settings.h"

#include <doctest/doctest.h>

using namespace noonfall;
using namespace noonfall::journal;

namespace {

const RunSettings odd{shotlog::Mode::dress,        Bodies::wire, Duration{-86'400'000'001}, 0.1,
                      18'446'744'073'709'551'615U, 1.3,          "plans/my \"plan\".yaml",  true};

std::string errors(std::string_view text) {
  const auto settings = parse_run_settings(text);
  return settings ? "" : to_text(settings.error());
}

}  // namespace

TEST_CASE("settings read back as they were written") {
  CHECK(parse_run_settings(to_json_text({})).value() == RunSettings{});
  CHECK(parse_run_settings(to_json_text(odd)).value() == odd);
  auto with_edge = odd;
  with_edge.limb_data = "/home/x/moon.llb";
  CHECK(parse_run_settings(to_json_text(with_edge)).value() == with_edge);
  CHECK(to_json_text(odd) ==
        "{\n  \"noonfall_run\": 1,\n  \"mode\": \"dress\",\n  \"bodies\": \"wire\",\n"
        "  \"moved_us\": -86400000001,\n  \"speed\": 0.1,\n  \"seed\": 18446744073709551615,\n"
        "  \"detune\": 1.3,\n  \"plan\": \"plans/my \\\"plan\\\".yaml\",\n  \"faults\": true\n}\n");
}

TEST_CASE("every wrong member is named with what it should be") {
  CHECK(errors(R"({"noonfall_run":1,"mode":"live","bodies":1,"moved_us":0.5,"speed":0,"seed":-1,"detune":"x",
                   "plan":7,"faults":0,"extra":1})") ==
        "error: \"mode\" is \"live\"\n  wanted: one of \"event\", \"dress\", \"simulated\"\n"
        "error: \"bodies\" is 1\n  wanted: one of \"real\", \"simulated\", \"wire\"\n"
        "error: \"moved_us\" is 0.5\n  wanted: a whole number of microseconds\n"
        "error: \"speed\" is 0\n  wanted: a number from 0.001 to 10000\n"
        "error: \"seed\" is -1\n  wanted: null or a whole number\n"
        "error: \"detune\" is \"x\"\n  wanted: a number from 0.01 to 100\n"
        "error: \"plan\" is 7\n  wanted: a text\n"
        "error: \"faults\" is 0\n  wanted: true or false\n"
        "error: \"extra\" isn't known\n  wanted: only what this version writes\n");
  CHECK(errors(
            R"({"noonfall_run":1,"mode":"event","bodies":"real","moved_us":0,"speed":1,"seed":null,"detune":1,
                   "plan":"p"})") == "error: \"faults\" is missing\n  wanted: true or false\n");
}

TEST_CASE("another version, and what isn't an object, are refused as a whole") {
  const std::string wanted = "\n  wanted: version 1; name another folder with --state DIR\n";
  CHECK(errors(R"({"noonfall_run":2,"later":1})") == "error: \"noonfall_run\" is 2" + wanted);
  CHECK(errors("{}") == "error: \"noonfall_run\" is missing" + wanted);
  CHECK(errors("[]") == "error: not a JSON object\n  wanted: one JSON object\n");
  CHECK(errors("{\n  \"noonfall_run\": 1,\n  x") == ":3:3: error: not JSON\n  wanted: one JSON object\n");
}
