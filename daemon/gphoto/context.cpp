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

}  // namespace

Context::Context() : context_{gp_context_new()} {
  gp_context_set_error_func(context_.get(), keep, errors_.get());
}

}  // namespace noonfall::gphoto
