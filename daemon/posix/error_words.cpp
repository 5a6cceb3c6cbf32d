#include "daemon/posix/error_words.h"

#include <system_error>

namespace noonfall::posix {

std::string error_words(int error) {
  return std::generic_category().message(error);
}

}  // namespace noonfall::posix
