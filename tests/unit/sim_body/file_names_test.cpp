// DCF 2.0 (CIPA DC-009 / JEITA CP-3461): folders nnnAAAAA with nnn 100–999, files AAAAnnnn with nnnn
// 0001–9999, files of one stem are one object.
#include <doctest/doctest.h>

#include <regex>

#include "sim/body/file_names.h"

namespace noonfall::sim {

TEST_CASE("file names keep to DCF whatever the frame's number") {
  const std::regex dcf("DCIM/[1-9][0-9]{2}[0-9A-Z_]{5}/[0-9A-Z_]{4}[0-9]{4}\\.[A-Z]{3}");
  for (const int n : {0, 1, 9'998, 9'999, 123'456, 9'999 * 900 - 1, 9'999 * 900}) {
    for (const auto& name : file_names(n, body::Files::raw_and_jpeg)) {
      CAPTURE(name);
      CHECK(std::regex_match(name, dcf));
      CHECK(name.find("0000.") == std::string::npos);
    }
  }
}

TEST_CASE("after 9999 files comes the next folder") {
  CHECK(file_names(9'998, body::Files::raw) == std::vector<std::string>{"DCIM/100NOONF/NOON9999.RAW"});
  CHECK(file_names(9'999, body::Files::raw) == std::vector<std::string>{"DCIM/101NOONF/NOON0001.RAW"});
  CHECK(file_names(9'999 * 900, body::Files::jpeg) == std::vector<std::string>{"DCIM/100NOONF/NOON0001.JPG"});
}

}  // namespace noonfall::sim
