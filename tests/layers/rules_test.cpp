// Every rule is shown an offender, so that none passes by never firing.
#include "tests/layers/rules.h"

#include <doctest/doctest.h>

using namespace noonfall::layers;

namespace {

std::string text(const Findings& findings) {
  std::string all;
  for (const auto& finding : findings) all += finding + "\n";
  return all;
}

std::string many_lines(int count) {
  std::string all;
  for (int i = 0; i < count; ++i) all += "int x;\n";
  return all;
}

}  // namespace

TEST_CASE("a lib folder may include folders to its left and nothing else") {
  CHECK(text(include_order(
                 {"lib/plan/parse.cpp", "#include \"lib/base/result.h\"\n#include \"lib/plan/plan.h\"\n"}))
            .empty());
  CHECK(text(include_order({"lib/time/utc.h", "\n#include \"lib/contacts/contact.h\"\n"})) ==
        "lib/time/utc.h:2: \"lib/contacts/contact.h\": lib/time may not include lib/contacts\n");
}

TEST_CASE("lib folders of one row may not include each other") {
  CHECK(text(include_order({"lib/yaml/reader.h", "#include \"lib/time/utc.h\""})) ==
        "lib/yaml/reader.h:1: \"lib/time/utc.h\": lib/yaml may not include lib/time\n");
  CHECK(text(include_order({"lib/rig/rig.cpp", "#  include \"lib/run/run.h\""})) ==
        "lib/rig/rig.cpp:1: \"lib/run/run.h\": lib/rig may not include lib/run\n");
}

TEST_CASE("daemon folders have an order too, and programs put them together") {
  CHECK(text(include_order({"daemon/worker/files.cpp", "#include \"daemon/cli/command.h\""})) ==
        "daemon/worker/files.cpp:1: \"daemon/cli/command.h\": daemon/worker may not include daemon/cli\n");
  CHECK(text(include_order({"daemon/clock/clock.cpp", "#include \"daemon/journal/run_folder.h\""})) ==
        "daemon/clock/clock.cpp:1: \"daemon/journal/run_folder.h\": daemon/clock may not include "
        "daemon/journal\n");
  CHECK(text(include_order({"daemon/kitchen/oven.h", "#include \"daemon/posix/text_file.h\""})) ==
        "daemon/kitchen/oven.h:1: \"daemon/posix/text_file.h\": daemon/kitchen has no place in the order of "
        "daemon/\n");
  CHECK(text(include_order({"daemon/noonfalld.cpp", "#include \"daemon/event_loop/event_loop.h\""})).empty());
  CHECK(text(include_order({"daemon/cli/check_command.cpp", "#include \"daemon/load/plan_loading.h\""}))
            .empty());
}

TEST_CASE("a new lib folder must be given its place first") {
  CHECK(text(include_order({"lib/weather/cloud.h", "#include \"lib/base/units.h\""})) ==
        "lib/weather/cloud.h:1: \"lib/base/units.h\": lib/weather has no place in the order of lib/\n");
}

TEST_CASE("includes go from daemon to sim to lib, never back") {
  CHECK(text(include_order(
                 {"daemon/noonfall.cpp", "#include \"sim/body/body.h\"\n#include \"lib/run/run.h\"\n"}))
            .empty());
  CHECK(text(include_order({"lib/run/step.cpp", "#include \"sim/body/body.h\""})) ==
        "lib/run/step.cpp:1: \"sim/body/body.h\": lib/ may not include sim/\n");
  CHECK(text(include_order({"sim/body/body.cpp", "#include \"daemon/cli/command.h\""})) ==
        "sim/body/body.cpp:1: \"daemon/cli/command.h\": sim/ may not include daemon/\n");
  CHECK(text(include_order({"daemon/web/page.cpp", "#include \"tests/fake.h\""})) ==
        "daemon/web/page.cpp:1: \"tests/fake.h\": daemon/ may not include tests/\n");
}

TEST_CASE("project includes are written from the top") {
  CHECK(text(include_order({"lib/base/number.cpp", "#include \"number.h\""})) ==
        "lib/base/number.cpp:1: \"number.h\": is not written from the top (lib/, sim/, daemon/, tests/)\n");
}

TEST_CASE("libraries are included only where they belong") {
  CHECK(text(third_party_places({"lib/yaml/reader.cpp", "#include <yaml-cpp/yaml.h>"})).empty());
  CHECK(text(third_party_places({"sim/wire/port_driver/driver.cpp", "#include <gphoto2/gphoto2-port.h>"}))
            .empty());
  CHECK(text(third_party_places({"daemon/event_loop/asio.h", "#include <boost/asio.hpp>"})).empty());
  for (const auto* name : {"yaml-cpp/yaml.h", "gphoto2/gphoto2.h", "boost/asio.hpp", "boost/beast/core.hpp",
                           "spdlog/spdlog.h", "date/tz.h", "CLI/CLI.hpp"}) {
    CAPTURE(name);
    const auto include = "#include <" + std::string{name} + ">";
    CHECK(text(third_party_places({"lib/plan/parse.cpp", include})) ==
          "lib/plan/parse.cpp:1: <" + std::string{name} + "> doesn't belong here\n");
  }
  CHECK_FALSE(third_party_places({"daemon/cli/check.cpp", "#include <yaml-cpp/yaml.h>"}).empty());
  CHECK_FALSE(third_party_places({"daemon/clock/clock.cpp", "#include <gphoto2/gphoto2.h>"}).empty());
  CHECK_FALSE(third_party_places({"sim/wire/ptp_body.cpp", "#include <gphoto2/gphoto2.h>"}).empty());
}

TEST_CASE("code under lib and sim reads no clock, starts no thread, touches nothing outside") {
  for (const auto* line :
       {"auto t = std::chrono::system_clock::now();", "clock_gettime(CLOCK_REALTIME, &ts);",
        "std::jthread t{f};", "std::mutex m;", "std::this_thread::sleep_for(1s);", "nanosleep(&ts, nullptr);",
        "std::getenv(\"HOME\");", "std::ifstream file{path};", "std::filesystem::path p;", "std::cout << 1;",
        "fmt::print(\"x\");", "std::random_device seed;", "#include <thread>", "#include <fstream>",
        "#include <iostream>"}) {
    CAPTURE(line);
    CHECK_FALSE(purity({"lib/run/step.cpp", line}).empty());
    CHECK_FALSE(purity({"sim/rehearse/loop.cpp", line}).empty());
    CHECK(purity({"daemon/clock/clock.cpp", line}).empty());
    CHECK_FALSE(purity({"sim/wire/ptp_body.cpp", line}).empty());
    CHECK(purity({"sim/wire/port_driver/driver.cpp", line}).empty());
  }
}

TEST_CASE("words in comments and literals are no impurity, and neither is a clock handed in") {
  CHECK(text(purity({"lib/run/step.cpp",
                     "// a std::thread would wait here: Clock::now()\n"
                     "/* std::cout\n std::mutex */ const char* words = \"std::getenv(\\\"x\\\")\";\n"
                     "auto raw = R\"(std::ifstream)\"; char quote = '\"'; long big = 1'000'000;\n"
                     "const Utc now = clock.now();\n"}))
            .empty());
  CHECK(text(purity({"lib/run/step.cpp", "int a = 1'000; /* x */\nstd::mutex m;  // here\n"})) ==
        "lib/run/step.cpp:2: uses threads\n");
}

TEST_CASE("a header opens with a sentence and #pragma once") {
  CHECK(header_opening({"lib/a/a.h", "// What it holds, and\n// for whom.\n#pragma once\n"}).empty());
  CHECK(header_opening({"lib/a/a.cpp", "int x;\n"}).empty());
  CHECK(text(header_opening({"lib/a/a.h", "// What it holds.\nint x;\n"})) ==
        "lib/a/a.h:1: has no #pragma once\n");
  CHECK(text(header_opening({"lib/a/a.h", "#pragma once\n// Late.\n"})) ==
        "lib/a/a.h:1: doesn't open with a // sentence, then #pragma once\n");
  CHECK(text(header_opening({"lib/a/a.h", "// a thing\n#pragma once\n"})) ==
        "lib/a/a.h:1: its opening sentence has no end\n");
}

TEST_CASE("unfinished work is found by its marks") {
  const std::string to{"TO"};
  const std::string fix{"FIX"};
  CHECK(text(unfinished_marks({"lib/a/a.cpp", "int x;\n// " + to + "DO: more\n"})) ==
        "lib/a/a.cpp:2: is marked unfinished\n");
  CHECK_FALSE(unfinished_marks({"docs/a.md", fix + "ME later"}).empty());
  CHECK_FALSE(unfinished_marks({"docs/a.md", std::string(3, 'X') + " later"}).empty());
  CHECK(unfinished_marks({"daemon/a.cpp", "mkstemp(\"name" + std::string(6, 'X') + "\");"}).empty());
}

TEST_CASE("a test's name may have a comma, but no semicolon") {
  const std::string test{"TEST"};
  CHECK(text(test_names({"tests/a_test.cpp", test + "_CASE(\n    \"one; two\") {\n"})) ==
        "tests/a_test.cpp:2: has a semicolon in a test's name\n");
  CHECK(test_names({"tests/a_test.cpp", test + "_CASE(\"one, two\") { f(); }\n"}).empty());
}

TEST_CASE("a file of 300 lines is long enough") {
  CHECK(length({"lib/a/a.cpp", many_lines(300)}).empty());
  CHECK(text(length({"lib/a/a.cpp", many_lines(301)})) == "lib/a/a.cpp has 301 lines, more than 300\n");
}

TEST_CASE("the top folder holds only what the layout names") {
  CHECK(top_level({"lib", ".ci", ".gitignore", "README.md", "build", "shots.jsonl"}).empty());
  CHECK(text(top_level({"lib", "notes.txt", "src"})) ==
        "notes.txt isn't named by the layout\nsrc isn't named by the layout\n");
}
