// A body opened by libgphoto2, and what the library says of errors beside their codes. Only for library*.cpp.
#pragma once

#include <memory>
#include <string>

#include <gphoto2/gphoto2.h>

#include "daemon/gphoto/session.h"

namespace noonfall::gphoto {

/// The library's context of one session.
class Context {
 public:
  Context();
  ~Context();
  Context(const Context&) = delete;
  Context& operator=(const Context&) = delete;

  [[nodiscard]] GPContext* get() const { return context_.get(); }
  /// For the next call to the library: the text kept of errors is to be of that call. The context's callback
  /// has the reason in some of the driver's paths; in others it stands only in the library's log.
  [[nodiscard]] GPContext* fresh();
  /// How a call that returned `code` went.
  [[nodiscard]] Tried<void> done(int code) const;

 private:
  struct Release {
    void operator()(GPContext* context) const { gp_context_unref(context); }
  };
  std::string errors_;
  std::unique_ptr<GPContext, Release> context_;
};

/// While it lives, what the driver tells its log of a body being opened in this thread is taken down.
class Listening {
 public:
  explicit Listening(About& about);
  ~Listening();
  Listening(const Listening&) = delete;
  Listening& operator=(const Listening&) = delete;

 private:
  int log_;
};

/// Frees what the library makes and hands over.
struct FreeList {
  void operator()(CameraList* list) const { gp_list_free(list); }
};
using List = std::unique_ptr<CameraList, FreeList>;
[[nodiscard]] List new_list();

/// A camera that knows its driver and port, not opened yet; it is freed in any case.
[[nodiscard]] Tried<std::unique_ptr<Session>> open_session(Camera* camera);

}  // namespace noonfall::gphoto
