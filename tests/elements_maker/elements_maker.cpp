// Makes lib/contacts/elements.csv: the elements of every solar eclipse of some years, from JPL DE405.
#include <iostream>

#include <CLI/CLI.hpp>

#include "daemon/posix/text_file.h"
#include "lib/contacts/parse_elements.h"
#include "tests/elements_maker/elements_csv.h"
#include "tests/elements_maker/fitted_elements.h"

namespace {

using namespace noonfall;

struct Options {
  std::string ephemeris = NOONFALL_DE405;
  std::string later;
  int first_year = 1960;
  int last_year = 2059;
};

int refuse(const std::string& line) {
  std::cerr << "elements_maker: " << line << '\n';
  return 3;
}

int run(const Options& options) {
  auto records = elements_maker::read_de405(options.ephemeris);
  if (!records) return refuse(records.error());
  const elements_maker::Ephemeris ephemeris{std::move(*records)};
  auto table = elements_maker::elements_of_years(ephemeris, options.first_year, options.last_year);
  if (!options.later.empty()) {
    const auto text = posix::read_text_file(options.later);
    if (!text) return refuse(to_text(text.error()));
    const auto later = contacts::parse_elements(*text, options.later);
    if (!later) return refuse(to_text(later.error()));
    table.insert(table.end(), later->begin(), later->end());
  }
  std::cout << elements_maker::elements_csv(table);
  return std::cout.flush() ? 0 : refuse("can't write the table");
}

}  // namespace

int main(int argc, char** argv) {
  CLI::App app{"Besselian elements of solar eclipses from JPL DE405, as lib/contacts/elements.csv has them"};
  Options options;
  app.add_option("--ephemeris", options.ephemeris, "Folder of the casacore table of DE405");
  app.add_option("--from", options.first_year, "First year")->check(CLI::Range(1960, 2059));
  app.add_option("--to", options.last_year, "Last year")->check(CLI::Range(1960, 2059));
  app.add_option("--later", options.later, "Table of elements whose rows follow")->type_name("FILE");
  CLI11_PARSE(app, argc, argv);
  try {
    return run(options);
  } catch (const std::exception& error) {
    return refuse(error.what());
  }
}
