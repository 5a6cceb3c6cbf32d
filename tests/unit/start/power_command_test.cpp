#include <filesystem>

#include <unistd.h>

#include <doctest/doctest.h>

#include "daemon/start/power_command.h"
#include "tests/program/run_program.h"

using namespace noonfall;

namespace {

using Words = std::vector<std::string>;
namespace fs = std::filesystem;

class File {
 public:
  explicit File(const std::string& text) : path_{folder_.file("power", text)} {
    fs::permissions(path_, fs::perms{0644});
  }
  [[nodiscard]] const std::string& path() const { return path_; }
  [[nodiscard]] Result<Words> read() const { return start::read_power_command(path_, ::geteuid()); }
  /// What is wrong with it, without its folder.
  [[nodiscard]] std::string refusal() const {
    const auto read_ = read();
    REQUIRE_FALSE(read_);
    return to_text(read_.error()).substr(folder_.path("").size());
  }

 private:
  tests::ScratchFolder folder_;
  std::string path_;
};

}  // namespace

TEST_CASE("a power command is one line, with comments around it") {
  CHECK(File{"# the hub at the mount\n\n  /usr/local/bin/usb-power  cycle 2 \n# end"}.read() ==
        Words{"/usr/local/bin/usb-power", "cycle", "2"});
  CHECK(start::read_power_command("/nonexistent/power") == Words{});
}

TEST_CASE("what isn't one program's whole path is refused by file and line") {
  CHECK(
      File{"# hub\nusb-power cycle\n"}.refusal() ==
      "power:2:1: error: no program's whole path is here\n    2 | usb-power cycle\n      | ^\n"
      "  wanted: one line with a program's whole path and arguments, like /usr/local/bin/usb-power cycle\n");
  CHECK(File{"/bin/one\n/bin/two\n"}.refusal().starts_with("power:2:1: error: a second command\n"));
  CHECK(File{"# nothing\n"}.refusal().starts_with("power: error: no command is in it\n"));
  const tests::ScratchFolder folder;
  CHECK_FALSE(start::read_power_command(folder.path(""), ::geteuid()));
}

TEST_CASE("a file that others than its owner may write, or that isn't the owner's, is refused") {
  const File file{"/bin/true\n"};
  REQUIRE(file.read());
  for (const auto others : {fs::perms::group_write, fs::perms::others_write}) {
    fs::permissions(file.path(), fs::perms{0644} | others);
    CHECK(file.refusal().starts_with("power: error: others than root may write it\n"));
  }
  fs::permissions(file.path(), fs::perms{0644});
  CHECK_FALSE(start::read_power_command(file.path(), ::geteuid() + 1));
}
