// What lies on a body's cards.
#include <cstdlib>
#include <memory>

#include "daemon/gphoto/session.h"

namespace noonfall::gphoto {

Tried<std::vector<Store>> Session::stores() {
  context_->forget_errors();
  CameraStorageInformation* made = nullptr;
  int count = 0;
  const int code = gp_camera_get_storageinfo(camera_.get(), &made, &count, context_->get());
  const std::unique_ptr<CameraStorageInformation[], decltype(&std::free)> list{made, &std::free};
  if (code < GP_OK) return tl::unexpected{context_->error(code)};
  std::vector<Store> stores;
  for (int n = 0; list && n < count; ++n) {
    const auto& each = list[static_cast<std::size_t>(n)];
    const bool read_only =
        (each.fields & GP_STORAGEINFO_ACCESS) != 0 && each.access != GP_STORAGEINFO_AC_READWRITE;
    stores.push_back({each.freekbytes, each.capacitykbytes, read_only});
  }
  return stores;
}

Tried<std::uint64_t> Session::file_bytes(const std::string& path) {
  const auto slash = path.rfind('/');
  if (slash == std::string::npos) return tl::unexpected{DriverError{result::bad_parameters, path}};
  context_->forget_errors();
  CameraFileInfo info{};
  const int code = gp_camera_file_get_info(camera_.get(), path.substr(0, slash).c_str(),
                                           path.substr(slash + 1).c_str(), &info, context_->get());
  if (code < GP_OK) return tl::unexpected{context_->error(code)};
  return info.file.size;
}

}  // namespace noonfall::gphoto
