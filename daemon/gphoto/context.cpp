#include "daemon/gphoto/context.h"

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

void keep_log(GPLogLevel /*level*/, const char* /*domain*/, const char* text, void* /*data*/) {
  if (log_goes_to != nullptr) keep(nullptr, text, log_goes_to);
}

/// The log is the process's.
void listen_to_log() {
  static const int id = gp_log_add_func(GP_LOG_ERROR, keep_log, nullptr);
  (void)id;
}

}  // namespace

Context::Context() : context_{gp_context_new()} {
  gp_context_set_error_func(context_.get(), keep, errors_.get());
  listen_to_log();
  forget_errors();
}

Context::~Context() {
  if (log_goes_to == errors_.get()) log_goes_to = nullptr;
}

void Context::forget_errors() {
  errors_->clear();
  log_goes_to = errors_.get();
}

}  // namespace noonfall::gphoto
