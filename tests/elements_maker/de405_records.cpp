#include "tests/elements_maker/de405_records.h"

#include <casacore/tables/Tables/ArrayColumn.h>
#include <casacore/tables/Tables/ScalarColumn.h>
#include <casacore/tables/Tables/Table.h>
#include <casacore/tables/Tables/TableRecord.h>

namespace noonfall::elements_maker {
namespace {

De405Records read_table(const casacore::Table& table) {
  const auto& keywords = table.keywordSet();
  De405Records records;
  records.days_per_record = keywords.asDouble("dMJD");
  records.au_km = keywords.asDouble("AU");
  records.earth_moon_mass_ratio = keywords.asDouble("EMRAT");
  records.light_km_per_s = keywords.asDouble("CLIGHT");
  const casacore::ScalarColumn<casacore::Double> begins{table, "MJD"};
  const casacore::ArrayColumn<casacore::Double> rows{table, "x"};
  records.first_mjd = begins(0);
  for (casacore::rownr_t row = 0; row < table.nrow(); ++row) {
    const auto wanted = records.first_mjd + static_cast<double>(row) * records.days_per_record;
    if (begins(row) != wanted) throw casacore::AipsError("its records don't follow each other");
    records.coefficients.push_back(rows(row).tovector());
  }
  return records;
}

}  // namespace

tl::expected<De405Records, std::string> read_de405(const std::string& folder) {
  try {
    const casacore::Table table{folder};
    if (table.keywordSet().asDouble("DENUM") != 405 || table.nrow() == 0)
      return tl::unexpected<std::string>{folder + " isn't a table of DE405"};
    return read_table(table);
  } catch (const std::exception& error) {
    return tl::unexpected<std::string>{"can't read DE405 in " + folder + ": " + error.what()};
  }
}

}  // namespace noonfall::elements_maker
