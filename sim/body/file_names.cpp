#include "sim/body/file_names.h"

#include <fmt/format.h>

namespace noonfall::sim {

std::vector<std::string> file_names(int n, body::Files files) {
  constexpr int files_in_folder = 9999;
  constexpr int folders = 900;
  const int folder = 100 + n / files_in_folder % folders;
  const auto stem = fmt::format("DCIM/{}NOONF/NOON{:04}", folder, n % files_in_folder + 1);
  std::vector<std::string> names;
  if (files != body::Files::jpeg) names.push_back(stem + ".RAW");
  if (files != body::Files::raw) names.push_back(stem + ".JPG");
  return names;
}

}  // namespace noonfall::sim
