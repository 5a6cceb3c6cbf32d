// What noonfalld and its workers say on stderr. Priorities: sd-daemon(3), by the levels of syslog(3); that
// stderr is the journal: systemd.exec(5) on $JOURNAL_STREAM.
#include <regex>
#include <sstream>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include <sys/stat.h>

#include "tests/program/daemon/field.h"

using namespace noonfall;
using namespace noonfall::tests;

namespace {

std::string quick(const Field& field, const std::string& more = {}) {
  return "'" + field.plan(field_plan) + "' --simulate --move C2=+90s --speed 400 " + more;
}

std::vector<std::string> lines_of(const std::string& text) {
  std::istringstream stream{text};
  std::vector<std::string> lines;
  for (std::string line; std::getline(stream, line);) lines.push_back(line);
  return lines;
}

/// Each line looks like `form`, and there are some.
bool all_match(const std::string& text, const std::string& form) {
  const auto lines = lines_of(text);
  return !lines.empty() && std::ranges::all_of(lines, [&](const auto& line) {
    return std::regex_match(line, std::regex{form});
  });
}

/// As if systemd had connected stderr, a file here, to its journal.
Ran in_journal(const Field& field, const std::string& arguments, int off_by = 0) {
  const auto file = field.scratch.file("journal", "");
  struct stat status {};
  REQUIRE(::stat(file.c_str(), &status) == 0);
  const auto program = field.scratch.file(
      "under-systemd", fmt::format("JOURNAL_STREAM={}:{} exec '{}' --state '{}' {} 2>>'{}'\n", status.st_dev,
                                   status.st_ino + static_cast<ino_t>(off_by), NOONFALL_DAEMON,
                                   field.folder(), arguments, file));
  auto ran = run_program("/bin/sh", program);
  ran.err = text_of_file(file);
  return ran;
}

}  // namespace

TEST_CASE("a run in which nothing goes wrong says nothing on stderr, nor do its workers") {
  const Field field;
  const auto ran = field.run(quick(field));
  CHECK(ran.exit == 0);
  CHECK(ran.err == "");
  CHECK(field.file("rig-0.stderr").empty());
}

TEST_CASE("at a lower level stderr tells what was done, line by line with instant, program and level") {
  const Field field;
  const auto ran = field.run(quick(field, "--log-level debug"));
  CHECK(ran.exit == 0);
  const std::string instant = R"(\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z )";
  CHECK(all_match(ran.err, instant + "noonfalld (info|debug): .*"));
  CHECK(ran.err.find(" noonfalld info: rig 1: process ") != std::string::npos);
  CHECK(ran.err.find(R"( noonfalld debug: to rig 0: {"say":"order",)") != std::string::npos);
  const auto worker = field.file("rig-0.stderr");
  CHECK(all_match(worker, instant + "noonfall-camera (info|debug): .*"));
  CHECK(worker.find(" noonfall-camera info: serves rig 0 with ") != std::string::npos);
  CHECK(std::regex_search(worker, std::regex{R"( noonfall-camera debug: release took \d+\.\d ms)"}));
  CHECK(ran.out.find(" info: ") == std::string::npos);
  CHECK(field.file("shots.jsonl").find("\"to rig 0") == std::string::npos);
}

TEST_CASE("under systemd each line has its priority instead, and a refusal is an error in every line") {
  const Field field;
  const auto ran = in_journal(field, quick(field, "--log-level debug"));
  CHECK(ran.exit == 0);
  CHECK(all_match(ran.err, "<[67]>[^<].*"));
  CHECK(ran.err.find("<6>rig 1: process ") != std::string::npos);
  CHECK(ran.err.find("<7>to rig 0: {") != std::string::npos);
  const Field other;
  const auto refused = in_journal(other, "'" + other.plan(with(field_plan, "900 m", "900 miles")) + "'");
  CHECK(refused.exit == 1);
  CHECK(all_match(refused.err, "<3>.*"));
  CHECK(refused.err.starts_with("<3>" + other.scratch.path("plan.yaml") + ":"));
}

TEST_CASE("a stderr that was taken away from the journal is none") {
  const Field field;
  const auto refused = in_journal(field, "nowhere", 1);
  CHECK(refused.exit == 3);
  CHECK(refused.err == "error: can't read nowhere: No such file or directory\n");
}

TEST_CASE("a level that isn't one is refused") {
  const Field field;
  const auto refused = field.run(quick(field, "--log-level loud"));
  CHECK(refused.exit == 2);
  CHECK(refused.err.find("loud") != std::string::npos);
}
