// The library's context of one session, and what it says of errors beside their codes.
#pragma once

#include <memory>
#include <string>

#include <gphoto2/gphoto2.h>

#include "daemon/gphoto/driver_error.h"

namespace noonfall::gphoto {

class Context {
 public:
  Context();
  ~Context();
  Context(const Context&) = delete;
  Context& operator=(const Context&) = delete;

  [[nodiscard]] GPContext* get() const { return context_.get(); }
  /// Call before each call to the library, so that the text kept is of that call. The context's callback has
  /// the reason in some of the driver's paths; in others it stands only in the library's log.
  void forget_errors();
  /// The error of a call that returned `code`.
  [[nodiscard]] DriverError error(int code) const { return {code, *errors_}; }

 private:
  struct Release {
    void operator()(GPContext* context) const { gp_context_unref(context); }
  };
  std::unique_ptr<std::string> errors_ = std::make_unique<std::string>();  // the callback knows its place
  std::unique_ptr<GPContext, Release> context_;
};

}  // namespace noonfall::gphoto
