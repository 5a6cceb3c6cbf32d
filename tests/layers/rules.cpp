#include "tests/layers/rules.h"

#include <algorithm>
#include <array>
#include <map>
#include <optional>
#include <regex>
#include <set>
#include <span>

namespace noonfall::layers {
namespace {

using Words = std::set<std::string>;

// Left to right; folders of one row don't include each other.
using Rows = std::vector<Words>;
const std::map<std::string, Rows> order_of{
    {"lib",
     {{"base"},
      {"yaml", "time"},
      {"json"},
      {"contacts", "exposure"},
      {"body", "limb", "look"},
      {"ladder", "order", "plan"},
      {"timeline"},
      {"draft", "shotlog"},
      {"rig", "run", "report", "collate"},
      {"measure"}}},
    {"daemon",
     {{"posix", "command_line"},
      {"diagnostic"},
      {"load", "clock", "journal", "service", "status", "voice", "worker", "pictures"},
      {"wired_body"},
      {"operator", "start", "cameras"},
      {"page", "preflight"},
      {"publish"},
      {"cli", "event_loop", "gphoto"}}},
};
const std::vector<std::string> parts{"lib", "sim", "daemon", "tests"};

std::vector<std::string> split_path(const std::string& path) {
  std::vector<std::string> names;
  std::size_t from = 0;
  for (auto slash = path.find('/'); slash != std::string::npos; slash = path.find('/', from)) {
    names.push_back(path.substr(from, slash - from));
    from = slash + 1;
  }
  names.push_back(path.substr(from));
  return names;
}

template <class Range>
std::optional<std::ptrdiff_t> position(const Range& range, const auto& matches) {
  const auto found = std::find_if(range.begin(), range.end(), matches);
  if (found == range.end()) return std::nullopt;
  return found - range.begin();
}

std::optional<std::ptrdiff_t> part_of(const std::string& name) {
  return position(parts, [&](const std::string& part) { return part == name; });
}

std::optional<std::ptrdiff_t> row_of(const Rows& rows, const std::string& folder) {
  return position(rows, [&](const Words& row) { return row.contains(folder); });
}

std::string at(const File& file, int line, const std::string& what) {
  return file.path + ":" + std::to_string(line) + ": " + what;
}

bool under(const File& file, const std::string& folder) {
  return file.path.starts_with(folder + "/");
}

bool is_header(const File& file) {
  return file.path.ends_with(".h");
}

/// What is wrong with `from` including `to`, both split paths of the project; empty for nothing.
std::string wrong_direction(const std::vector<std::string>& from, const std::vector<std::string>& to) {
  const auto from_part = part_of(from[0]);
  const auto to_part = part_of(to[0]);
  if (!to_part || to.size() < 2) return "is not written from the top (lib/, sim/, daemon/, tests/)";
  if (!from_part || *to_part > *from_part) return from[0] + "/ may not include " + to[0] + "/";
  const auto rows = order_of.find(from[0]);
  // A file right in the part is a program: it puts rooms together.
  if (rows == order_of.end() || from[0] != to[0] || from[1] == to[1] || from.size() == 2) return {};
  const auto from_row = row_of(rows->second, from[1]);
  const auto to_row = row_of(rows->second, to[1]);
  const auto part = from[0] + "/";
  if (!from_row || !to_row)
    return part + (from_row ? to[1] : from[1]) + " has no place in the order of " + part;
  if (*to_row >= *from_row) return part + from[1] + " may not include " + part + to[1];
  return {};
}

struct Place {
  std::string library;  // the include starts with this
  std::vector<std::string> folders;
};
const std::vector<Place> places{
    {"yaml-cpp/", {"lib/yaml"}},
    {"nlohmann/", {"lib/json", "daemon"}},
    {"gps.h", {"daemon/clock"}},
    {"gphoto2/", {"daemon/gphoto", "sim/wire/port_driver"}},
    {"alsa/", {"daemon/voice"}},
    {"systemd/", {"daemon/service"}},
    {"boost/asio", {"daemon"}},
    {"boost/beast", {"daemon"}},
    {"asio", {"daemon"}},
    {"spdlog/", {"daemon"}},
    {"date/tz.h", {"daemon"}},
    {"CLI/", {"daemon"}},
    {"proj.h", {"daemon"}},
    {"curl/", {"daemon/load"}},
    {"mosquitto.h", {"daemon/publish"}},
    {"exiv2/", {"daemon/pictures"}},
    {"jpeglib.h", {"daemon/pictures"}},
    {"tiffio.h", {"daemon/pictures"}},
};

const Words impure_headers{"thread",     "mutex",      "shared_mutex", "condition_variable",
                           "future",     "stop_token", "semaphore",    "fstream",
                           "filesystem", "iostream",   "unistd.h",     "time.h",
                           "stdio.h",    "cstdio",     "fcntl.h",      "print"};

struct Impurity {
  std::regex pattern;
  std::string what;
};
const std::vector<Impurity>& impurities() {
  // A clock handed in through a port may have a now() of its own; reading a clock of the machine is what is
  // barred.
  static const std::vector<Impurity> list{
      {std::regex{R"(::now\s*\(|\bclock_gettime\b|\bgettimeofday\b|\bstd::time\s*\()"}, "reads a clock"},
      {std::regex{R"(\bstd::(j?thread|async|(shared_|recursive_|timed_)*mutex|condition_variable)\b)"},
       "uses threads"},
      {std::regex{R"(\bsleep(_for|_until)?\s*\(|\b(u|nano)sleep\s*\()"}, "sleeps"},
      {std::regex{R"(\b(secure_)?getenv\b)"}, "reads the environment"},
      {std::regex{R"(\b[io]?fstream\b|\bfopen\b|\bstd::filesystem\b)"}, "touches files"},
      {std::regex{R"(\bstd::(cout|cerr|clog|cin)\b|\bfmt::print\s*\(|\bf?printf\s*\(|\bputs\s*\()"},
       "talks to the console"},
      {std::regex{R"(\brandom_device\b|\bs?rand\s*\()"}, "takes chance from outside"},
  };
  return list;
}

/// Calls `found(line number, line)` for each line that matches.
void each_match(const std::string& text, const std::regex& pattern, const auto& found) {
  int number = 0;
  for (const auto& line : lines(text)) {
    ++number;
    if (std::regex_search(line, pattern)) found(number, line);
  }
}

}  // namespace

Findings include_order(const File& file) {
  Findings findings;
  for (const auto& include : includes(file)) {
    if (!include.quoted) continue;
    const auto wrong = wrong_direction(split_path(file.path), split_path(include.name));
    if (!wrong.empty()) findings.push_back(at(file, include.line, "\"" + include.name + "\": " + wrong));
  }
  return findings;
}

Findings third_party_places(const File& file) {
  Findings findings;
  if (under(file, "tests")) return findings;
  for (const auto& include : includes(file)) {
    for (const auto& place : places) {
      if (!include.name.starts_with(place.library)) continue;
      const bool allowed = std::any_of(place.folders.begin(), place.folders.end(),
                                       [&](const std::string& folder) { return under(file, folder); });
      if (!allowed) findings.push_back(at(file, include.line, "<" + include.name + "> doesn't belong here"));
    }
  }
  return findings;
}

Findings purity(const File& file) {
  Findings findings;
  // A driver inside a host program is at the edge of the world, whatever it pretends.
  if (!(under(file, "lib") || under(file, "sim")) || under(file, "sim/wire/port_driver")) return findings;
  for (const auto& include : includes(file)) {
    if (impure_headers.contains(include.name)) {
      findings.push_back(at(file, include.line, "<" + include.name + "> has no place in pure code"));
    }
  }
  const auto code = code_only(file.text);
  for (const auto& impurity : impurities()) {
    each_match(code, impurity.pattern,
               [&](int line, const std::string&) { findings.push_back(at(file, line, impurity.what)); });
  }
  return findings;
}

Findings header_opening(const File& file) {
  static const std::regex full_stop{R"([.:]( |$))"};
  if (!is_header(file)) return {};
  const auto all = lines(file.text);
  const auto pragma = position(all, [](const std::string& line) { return line == "#pragma once"; });
  if (!pragma) return {at(file, 1, "has no #pragma once")};
  const auto before = std::span{all}.first(static_cast<std::size_t>(*pragma));
  const bool comment_first =
      !before.empty() && std::ranges::all_of(before, [](const auto& line) { return line.starts_with("//"); });
  if (!comment_first) return {at(file, 1, "doesn't open with a // sentence, then #pragma once")};
  const bool sentence =
      std::ranges::any_of(before, [](const auto& line) { return std::regex_search(line, full_stop); });
  if (!sentence) return {at(file, 1, "its opening sentence has no end")};
  return {};
}

Findings unfinished_marks(const File& file) {
  static const std::regex pattern{R"(\b(TO)DO\b|\bFIX()ME\b|\bX()XX\b|\bnot ()implemented\b)"};
  Findings findings;
  each_match(file.text, pattern, [&](int line, const std::string&) {
    findings.push_back(at(file, line, "is marked unfinished"));
  });
  return findings;
}

Findings test_names(const File& file) {
  Findings findings;
  if (!file.path.ends_with("_test.cpp")) return findings;
  const std::string_view text = file.text;
  for (auto at_name = text.find("TEST_CASE"); at_name != std::string_view::npos;
       at_name = text.find("TEST_CASE", at_name + 1)) {
    const auto opens = text.find('"', at_name);
    if (opens == std::string_view::npos) break;
    const auto name = text.substr(opens, text.find_first_of("\"\n", opens + 1) - opens);
    const auto line = 1 + static_cast<int>(std::ranges::count(text.substr(0, opens), '\n'));
    if (name.find(';') != std::string_view::npos)
      findings.push_back(at(file, line, "has a semicolon in a test's name"));
  }
  return findings;
}

Findings length(const File& file) {
  const auto count = lines(file.text).size();
  if (count <= 300) return {};
  return {file.path + " has " + std::to_string(count) + " lines, more than 300"};
}

Findings top_level(const std::vector<std::string>& entries) {
  static const Words named{"CMakeLists.txt",
                           "README.md",
                           "DEVELOPERS.md",
                           "daemon",
                           "lib",
                           "plans",
                           "sim",
                           "tests",
                           "docs",
                           "LICENSE",
                           "dev",
                           "CMakePresets.json",
                           "build",
                           "compile_commands.json"};  // the last two are ignored by git
  Findings findings;
  for (const auto& entry : entries) {
    const bool fine = named.contains(entry) || entry.starts_with('.') || entry.ends_with(".jsonl");
    if (!fine) findings.push_back(entry + " isn't named by the layout");
  }
  return findings;
}

}  // namespace noonfall::layers
