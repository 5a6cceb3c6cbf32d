// Every label of every list in the public dumps of real bodies (libgphoto2, camlibs/ptp2/cameras, upstream
// 813de344, as bodies/labels.tsv of the reference data has them), read by rules of the test's own; and some
// of their lists retyped.
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <map>
#include <regex>
#include <set>

#include <doctest/doctest.h>

#include "daemon/gphoto/labels.h"
#include "tests/reference_file.h"

using namespace noonfall;
using namespace noonfall::gphoto;
using body::Drive;
using body::Files;

namespace {

using Labels = std::vector<std::string>;

struct Row {
  std::string dump;
  std::string widget;
  std::string current;
  Labels choices;
};

Labels split(const std::string& text, char at) {
  Labels parts;
  std::istringstream stream{text};
  for (std::string part; std::getline(stream, part, at);) parts.push_back(part);
  return parts;
}

std::vector<Row> rows_of(const std::string& path) {
  std::ifstream file{path};
  std::vector<Row> rows;
  std::string line;
  std::getline(file, line);  // the heads of the columns
  while (std::getline(file, line)) {
    const auto cells = split(line, '\t');
    REQUIRE(cells.size() == 4);
    rows.push_back({cells[0], cells[1], cells[2], cells[3] == "-" ? Labels{} : split(cells[3], '\x1f')});
  }
  return rows;
}

/// What is shown beside what can be chosen.
Labels all_of(const Row& row) {
  auto all = row.choices;
  all.push_back(row.current);
  return all;
}

std::optional<double> seconds_of(const std::string& label) {
  static const std::regex time{R"((\d+(?:\.\d+)?)(?:/(\d+(?:\.\d+)?))?([sm]?))"};
  std::smatch part;
  if (label == "65535/65535" || !std::regex_match(label, part, time)) return std::nullopt;
  double seconds = std::strtod(part.str(1).c_str(), nullptr);
  if (part[2].matched) seconds /= std::strtod(part.str(2).c_str(), nullptr);
  if (part.str(3) == "m") seconds *= 60;
  const bool possible = seconds >= 1.0 / 64000 && seconds <= 900;
  return possible ? std::optional{seconds} : std::nullopt;
}

std::optional<double> number_of(std::string label, const std::set<std::string>& codes = {}) {
  static const std::regex number{R"(\d+(\.\d+)?)"};
  if (label.starts_with("f/")) label.erase(0, 2);
  if (codes.contains(label) || !std::regex_match(label, number)) return std::nullopt;
  return std::strtod(label.c_str(), nullptr);
}

bool is_no_word(const std::string& label) {
  for (const auto* start : {"Unknown value", "Unbekannter Wert", "Valor ", "(null)"})
    if (label.starts_with(start)) return true;
  return false;
}

/// Words of those who ran the library in German or Spanish, which ours never does.
const std::set<std::string> not_english{"Einzelbild", "Mehrbild",          "Kontinuierlich",
                                        "Fein",       "interner Speicher", "Speicherkarte"};

/// How the driver's tables name bursts (config.c:4059-4136, 1541-1548, canon_eos_drivemode), the fastest
/// first.
const Labels bursts{"Continuous Hi+ Speed",
                    "Super high speed continuous shooting",
                    "Burst",
                    "Continuous high speed",
                    "Continuous",
                    "Continuous Med Speed",
                    "Continuous low speed",
                    "Continuous Low Speed"};

std::optional<Files> files_meant(const std::string& label) {
  static const std::set<std::string> none{"TIFF (RGB)"};
  if (is_no_word(label) || not_english.contains(label) || none.contains(label)) return std::nullopt;
  if (label.find('+') != std::string::npos) return Files::raw_and_jpeg;
  const bool raw = label.find("RAW") != std::string::npos || label.find("NEF") != std::string::npos;
  return raw ? Files::raw : Files::jpeg;
}

const std::map<std::string, body::Focusing> focusings{{"Manual", body::Focusing::by_hand},
                                                      {"MF (selection)", body::Focusing::by_hand},
                                                      {"MF (fixed)", body::Focusing::by_hand},
                                                      {"Preset MF", body::Focusing::by_hand},
                                                      {"AF-S", body::Focusing::by_itself},
                                                      {"AF-C", body::Focusing::by_itself},
                                                      {"AF-A", body::Focusing::by_itself},
                                                      {"AF-F", body::Focusing::by_itself},
                                                      {"C-AF", body::Focusing::by_itself},
                                                      {"S-AF+MF", body::Focusing::by_itself},
                                                      {"DMF", body::Focusing::by_itself},
                                                      {"Automatic", body::Focusing::by_itself},
                                                      {"Automatic Macro", body::Focusing::by_itself},
                                                      {"One Shot", body::Focusing::by_itself},
                                                      {"AI Servo", body::Focusing::by_itself},
                                                      {"AI Focus", body::Focusing::by_itself},
                                                      {"Single-Servo AF", body::Focusing::by_itself},
                                                      {"Continuous-Servo AF", body::Focusing::by_itself}};

void check_time(const std::string& label) {
  const auto expected = seconds_of(label);
  const auto read = shutter_of(label);
  CHECK(read.has_value() == expected.has_value());
  if (!read || !expected) return;
  CHECK(static_cast<double>(read->numerator) / read->denominator == doctest::Approx(*expected).epsilon(1e-9));
}

void check_aperture(const std::string& label) {
  auto expected = number_of(label);
  if (expected && (*expected < 0.7 || *expected > 128)) expected = std::nullopt;
  const auto read = f_number_of(label);
  CHECK(read.has_value() == expected.has_value());
  if (read && expected) CHECK(read->tenths == std::lround(*expected * 10));
}

void check_iso(const std::string& label) {
  // 0xFFFF and 0xD001: codes, not values. "25 Multi Frame Noise Reduction" is several frames in one.
  const auto expected = number_of(label, {"0", "65535", "53249"});
  const auto read = iso_of(label);
  CHECK(read.has_value() == expected.has_value());
  if (read && expected) CHECK(read->value == *expected);
}

void check_drive(const Row& row) {
  const auto read = drives_of(row.choices);
  std::map<Drive, std::string> expected;
  for (const auto* single : {"Single", "Single Shot"})
    if (std::ranges::count(row.choices, single) > 0) expected[Drive::single] = single;
  for (const auto& burst : bursts)
    if (std::ranges::count(row.choices, burst) > 0) expected.try_emplace(Drive::continuous, burst);
  CHECK(read.size() == expected.size());
  for (const auto& choice : read) CHECK(choice.label == expected[choice.value]);
}

void check_files(const Row& row) {
  std::multiset<std::string> read;
  for (const auto& choice : formats_of(row.choices)) {
    read.insert(choice.label);
    CHECK(files_meant(choice.label) == choice.value);
  }
  for (const auto& label : row.choices) {
    CAPTURE(label);
    CHECK((read.count(label) > 0) == files_meant(label).has_value());
  }
}

/// The first of a kind isn't what a better one of the same list stands beside.
void check_best_first(const Row& row) {
  const std::map<std::string, Labels> better{
      {"cRAW", {"RAW"}},
      {"mRAW", {"RAW"}},
      {"sRAW", {"RAW", "mRAW"}},
      {"JPEG Basic", {"JPEG Normal", "JPEG Fine"}},
      {"JPEG Normal", {"JPEG Fine"}},
      {"NEF+Basic", {"NEF+Normal", "NEF+Fine"}},
      {"NEF+Normal", {"NEF+Fine"}},
      {"Standard", {"Fine", "Extra Fine"}},
      {"Fine", {"Extra Fine"}},
      {"RAW+JPEG (Std)", {"RAW+JPEG (Fine)", "RAW+JPEG (X.Fine)"}},
      {"RAW+JPEG (Fine)", {"RAW+JPEG (X.Fine)"}},
      {"Medium Fine JPEG", {"Large Fine JPEG"}},
      {"Large Normal JPEG", {"Large Fine JPEG"}},
      {"cRAW + Large Fine JPEG", {"RAW + Large Fine JPEG"}},
  };
  std::map<Files, std::string> first;
  for (const auto& choice : formats_of(row.choices)) first.try_emplace(choice.value, choice.label);
  for (const auto& [files, label] : first) {
    const auto beside = better.find(label);
    if (beside == better.end()) continue;
    for (const auto& each : beside->second) CHECK(std::ranges::count(row.choices, each) == 0);
  }
}

void check_target(const std::string& label) {
  using body::SavedTo;
  const std::map<std::string, SavedTo> known{{"Internal RAM", SavedTo::memory},
                                             {"sdram", SavedTo::memory},
                                             {"Memory card", SavedTo::card},
                                             {"card", SavedTo::card},
                                             {"card+sdram", SavedTo::card}};
  const auto meant = known.find(label);
  CHECK((meant != known.end() || not_english.contains(label)));
  CHECK(saved_to_of(label) == (meant == known.end() ? std::nullopt : std::optional{meant->second}));
}

void check_focus(const std::string& label) {
  const auto meant = focusings.find(label);
  const bool translated = label.starts_with("Manuell") || label.starts_with("Autom") ||
                          label.starts_with("MF (") || label == "Einzel AF";
  if (translated && meant == focusings.end()) return;
  CHECK((meant != focusings.end() || is_no_word(label) || label == "Undefined"));
  CHECK(focusing_of(label) == (meant == focusings.end() ? std::nullopt : std::optional{meant->second}));
}

void check(const Row& row) {
  const auto each = [&](void (*check_label)(const std::string&)) {
    for (const auto& label : all_of(row)) {
      CAPTURE(label);
      check_label(label);
    }
  };
  const auto is = [&](std::string_view one, std::string_view other) {
    return row.widget == one || row.widget == other;
  };
  if (is("shutterspeed", "shutterspeed2")) each(check_time);
  if (is("f-number", "aperture")) each(check_aperture);
  if (row.widget == "iso") each(check_iso);
  if (is("capturemode", "drivemode")) check_drive(row);
  if (row.widget == "capturetarget") each(check_target);
  if (is("focusmode", "focusmode2")) each(check_focus);
  if (!is("imageformat", "imagequality")) return;
  check_files(row);
  check_best_first(row);
}

}  // namespace

TEST_CASE("every label of the public dumps is read right, or as no value") {
  const auto path = tests::reference_file("bodies/labels.tsv");
  if (!path) return;
  const auto rows = rows_of(*path);
  CHECK(rows.size() == 1560);
  for (const auto& row : rows) {
    CAPTURE(row.dump);
    CAPTURE(row.widget);
    check(row);
  }
}
