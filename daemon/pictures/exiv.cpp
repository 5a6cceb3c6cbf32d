#include "daemon/pictures/exiv.h"

#include <mutex>

#include <exiv2/exiv2.hpp>

#include "daemon/pictures/sidecar.h"

namespace noonfall::pictures {
namespace {

void lock_xmp(void* lock, bool wanted) {
  auto& mutex = *static_cast<std::mutex*>(lock);
  if (wanted) return mutex.lock();
  mutex.unlock();
}

}  // namespace

void initialise_exiv() {
  static std::mutex lock;
  static const bool ready = [] {
    Exiv2::LogMsg::setLevel(Exiv2::LogMsg::mute);
    Exiv2::enableBMFF();
    Exiv2::XmpParser::initialize(lock_xmp, &lock);
    Exiv2::XmpProperties::registerNs(std::string{xmp_namespace}, "noonfall");
    return true;
  }();
  static_cast<void>(ready);
}

}  // namespace noonfall::pictures
