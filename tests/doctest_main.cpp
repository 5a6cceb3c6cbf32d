#include <cstdlib>

#define DOCTEST_CONFIG_IMPLEMENT
#include <doctest/doctest.h>

/// A strip of lunar heights in the user's own folders would move every contact: tests and the programs they
/// start find none but what they name.
int main(int argc, char** argv) {
  ::setenv("XDG_DATA_HOME", "/nonexistent", 1);
  ::setenv("XDG_DATA_DIRS", "/nonexistent", 1);
  return doctest::Context{argc, argv}.run();
}
