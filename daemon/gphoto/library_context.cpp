// What the library says beside its results: errors' reasons, and a body's description at opening.
#include <new>

#include <spdlog/spdlog.h>

#include "daemon/gphoto/library_session.h"

namespace noonfall::gphoto {
namespace {

constexpr std::size_t most_text = 4096;

void keep(GPContext* /*context*/, const char* text, void* kept) {
  auto& errors = *static_cast<std::string*>(kept);
  if (text == nullptr || errors.size() > most_text) return;
  errors += text;
  errors += '\n';
}

thread_local std::string* log_goes_to = nullptr;

void keep_log(GPLogLevel /*level*/, const char* domain, const char* text, void* /*data*/) {
  spdlog::debug("{}: {}", domain, text);
  if (log_goes_to != nullptr) keep(nullptr, text, log_goes_to);
}

struct AboutLines {
  About* about = nullptr;
  bool among_operations = false;
};
thread_local AboutLines lines_go_to;

void keep_about(GPLogLevel /*level*/, const char* /*domain*/, const char* text, void* /*data*/) {
  if (lines_go_to.about != nullptr && text != nullptr)
    read_debug_line(text, *lines_go_to.about, lines_go_to.among_operations);
}

}  // namespace

Context::Context() : context_{gp_context_new()} {
  gp_context_set_error_func(context_.get(), keep, &errors_);
  static const int log = gp_log_add_func(GP_LOG_ERROR, keep_log, nullptr);  // it is the process's
  (void)log;
  (void)fresh();
}

Context::~Context() {
  if (log_goes_to == &errors_) log_goes_to = nullptr;
}

GPContext* Context::fresh() {
  errors_.clear();
  log_goes_to = &errors_;
  return context_.get();
}

Tried<void> Context::done(int code) const {
  if (code >= GP_OK) return {};
  return tl::unexpected{DriverError{code, errors_}};
}

List new_list() {
  CameraList* made = nullptr;
  if (gp_list_new(&made) < GP_OK) throw std::bad_alloc{};
  return List{made};
}

Listening::Listening(About& about) : log_{gp_log_add_func(GP_LOG_DEBUG, keep_about, nullptr)} {
  lines_go_to = {&about, false};
}

Listening::~Listening() {
  lines_go_to = {};
  gp_log_remove_func(log_);
}

}  // namespace noonfall::gphoto
