#include "daemon/start/limb_in_force.h"

#include <filesystem>

namespace noonfall::start {

load::LimbRequest limb_in_force(const RunRequest& request, const journal::RunSettings& begun,
                                const shotlog::Header* before, Diagnostics& findings) {
  const load::LimbRequest mean{"mean", {}};
  if (before == nullptr || !request.limb.limb.empty() || !request.limb.data.empty()) return request.limb;
  if (begun.limb_data.empty() && before->limb == mean.limb) return mean;
  std::error_code ignored;
  if (request.amend || std::filesystem::exists(begun.limb_data, ignored)) return {"profile", begun.limb_data};
  findings.push_back(warning_at({}, "limb-data",
                                "C2 and C3 are those of a smooth Moon now: the run's lunar heights are gone",
                                "--amend with --limb-data FILE"));
  return mean;
}

std::string whole_path(const std::string& file) {
  return file.empty() ? file : std::filesystem::absolute(file).string();
}

}  // namespace noonfall::start
