// Whether AddressSanitizer watches, in GCC's and in clang's words.
#pragma once

#if defined(__has_feature)
#if __has_feature(address_sanitizer)
#define NOONFALL_ADDRESS_SANITIZER
#endif
#elif defined(__SANITIZE_ADDRESS__)
#define NOONFALL_ADDRESS_SANITIZER
#endif
