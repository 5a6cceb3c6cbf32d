// The commands of `noonfall` that README and docs show are run as shown, block by block, each in a folder of
// its own with the plans, a plan, a log and photographs; what the pages show of their output is compared.
#include <algorithm>
#include <filesystem>
#include <map>
#include <regex>
#include <string>
#include <utility>
#include <vector>

#include <doctest/doctest.h>

#include "tests/program/run_program.h"
#include "tests/source_folder.h"

namespace {

namespace fs = std::filesystem;
using noonfall::tests::Ran;
using noonfall::tests::ScratchFolder;
using noonfall::tests::text_of_file;

/// Where a command wants what a test hasn't: a camera, the network, a download.
const std::vector<std::string> not_run{
    "noonfall cameras",
    "noonfall cameras --measure 3012345 --out my-body.yaml",
    "noonfall limb build LDEM_16.IMG --out ~/.local/share/noonfall/moon.llb",
};

/// What a person puts in its place, and less of what only takes long.
const std::vector<std::pair<std::string, std::string>> in_place_of{
    {"--trials 1000", "--trials 10"},
    {" --frame-width 1500", ""},
    {"--frames before", "--frames before --frame-width 60"},
    {" PLAN", " plans/first-light.yaml"},
    {"/media/card1 /media/card2", "card"},
    {"/media/card1", "card"},
    {"/media/card", "card"},
};
/// What a draft asks for at a terminal; the first line names the eclipse and the place already.
const std::string answers = " --body mirrorless-20 --focal 600mm --aperture f/8 --filter 5.0";
const std::string place = " 2027-08-02 --at 36.0139,-5.6033,12";

/// Without what stands behind it in words.
std::string command_of(const std::string& line) {
  static const std::regex remark{R"(\s+#.*$)"};
  return std::regex_replace(line.substr(4), remark, "");
}

/// Neighbouring lines, indented by four, that are commands of ours.
std::vector<std::vector<std::string>> blocks_of(const std::string& page) {
  std::vector<std::vector<std::string>> blocks(1);
  std::istringstream text{page};
  for (std::string line; std::getline(text, line);) {
    if (line.starts_with("    noonfall ")) {
      blocks.back().push_back(command_of(line));
    } else if (!blocks.back().empty()) {
      blocks.emplace_back();
    }
  }
  if (blocks.back().empty()) blocks.pop_back();
  return blocks;
}

std::string replaced(std::string text, const std::string& what, const std::string& with) {
  const auto at = text.find(what);
  return at == std::string::npos ? text : text.replace(at, what.size(), with);
}

std::string as_run(std::string command) {
  for (const auto& [shown, instead] : in_place_of) command = replaced(std::move(command), shown, instead);
  if (!command.starts_with("noonfall draft")) return command;
  if (command.find(" --at ") == std::string::npos) command += place;
  return command + answers;
}

class Place {
 public:
  Place() { fs::create_directory_symlink(NOONFALL_SOURCE "/plans", folder_.path("plans")); }

  [[nodiscard]] Ran run(const std::string& command) const {
    const auto script =
        folder_.file("command.sh", "export HOME=$PWD XDG_DATA_HOME=$PWD PATH=" NOONFALL_PROGRAMS
                                   ":$PATH LC_ALL=C.UTF-8\n" +
                                       command + "\n");
    return noonfall::tests::run_program("/bin/sh", "-c 'cd " + folder_.path("") + " && . " + script + "'");
  }
  void file(const std::string& name, const std::string& text) const { (void)folder_.file(name, text); }
  void copy(const Place& from, const std::string& name) const {
    fs::copy(from.folder_.path(name), folder_.path(name), fs::copy_options::recursive);
  }

 private:
  ScratchFolder folder_;
};

/// With what a reader has by then: a plan, a log and a card.
const Place& made_before() {
  static const Place place_before;
  static const bool made = [] {
    CHECK(place_before.run("noonfall draft" + place + answers + " --out my-plan.yaml").exit == 0);
    CHECK(
        place_before
            .run(
                "noonfall rehearse plans/first-light.yaml --log shots.jsonl --frames frames --frame-width 60")
            .exit == 0);
    return place_before.run("mv frames/long card").exit == 0;
  }();
  REQUIRE(made);
  return place_before;
}

bool makes(const std::vector<std::string>& block, const std::string& option) {
  return std::any_of(block.begin(), block.end(),
                     [&](const auto& command) { return command.find(option) != std::string::npos; });
}

/// How many were run.
int run_block(const std::vector<std::string>& block, std::map<std::string, int>& left_out) {
  const Place here;
  for (const auto& [option, name] : {std::pair{"--out my-plan.yaml", "my-plan.yaml"},
                                     {"--log shots.jsonl", "shots.jsonl"},
                                     {"--out card", "card"}})
    if (!makes(block, option)) here.copy(made_before(), name);
  int run = 0;
  for (const auto& command : block) {
    if (std::find(not_run.begin(), not_run.end(), command) != not_run.end()) {
      ++left_out[command];
      continue;
    }
    CAPTURE(command);
    const auto ran = here.run(as_run(command));
    CAPTURE(ran.err);
    CHECK(ran.exit == 0);
    ++run;
  }
  return run;
}

/// The fenced text behind these words.
std::string shown_behind(const std::string& page, const std::string& words) {
  const auto at = page.find(words);
  REQUIRE(at != std::string::npos);
  const auto begin = page.find('\n', page.find("\n```", at) + 1) + 1;
  return page.substr(begin, page.find("\n```", begin) + 1 - begin);
}

/// The first shown line that isn't among what was printed, in its turn; "…" stands for any lines.
std::string first_line_missing(const std::string& shown, const std::string& printed) {
  std::istringstream lines{shown};
  std::size_t from = 0;
  for (std::string line; std::getline(lines, line);) {
    if (line == "…") continue;
    const auto at = ("\n" + printed).find("\n" + line + "\n", from);
    if (at == std::string::npos) return line;
    from = at + 1;
  }
  return "";
}

std::string page(const std::string& name) {
  return text_of_file(NOONFALL_SOURCE "/" + name);
}

std::string edited_first_light(const std::string& what, const std::string& with) {
  const auto text = page("plans/first-light.yaml");
  const auto edited = replaced(text, what, with);
  REQUIRE(edited != text);
  return edited;
}

}  // namespace

TEST_CASE("every noonfall command that README and docs show does what is said, or needs what isn't here") {
  std::map<std::string, int> left_out;
  int run = 0;
  for (const auto* name :
       {"README.md", "docs/after.md", "docs/odds.md", "docs/frames.md", "docs/accuracy.md"}) {
    CAPTURE(name);
    for (const auto& block : blocks_of(page(name))) run += run_block(block, left_out);
  }
  CHECK(run >= 20);
  for (const auto& command : not_run) CHECK_MESSAGE(left_out[command] > 0, command);
}

TEST_CASE("no other page shows commands of noonfall") {
  for (const auto& entry : fs::directory_iterator{NOONFALL_SOURCE "/docs"}) {
    const auto name = entry.path().filename().string();
    if (entry.path().extension() != ".md" || name == "after.md" || name == "odds.md" || name == "frames.md" ||
        name == "accuracy.md")
      continue;
    CAPTURE(name);
    CHECK(blocks_of(page("docs/" + name)).empty());
  }
}

TEST_CASE("what README shows of the demo's rehearsal is what it prints") {
  const Place here;
  const auto ran = here.run("noonfall rehearse plans/two-rigs-2027.yaml");
  CHECK(ran.exit == 0);
  CHECK(first_line_missing(shown_behind(page("README.md"), "An excerpt of what the rehearsal prints"),
                           ran.out) == "");
}

TEST_CASE("the errors that the pages show are what is printed") {
  const Place here;
  here.file("my-plan.yaml", edited_first_light("from: C2 + 2 s", "from: C2 - 40 s"));
  CHECK(first_line_missing(shown_behind(page("README.md"), "A plan that can't be shot as written is told so"),
                           here.run("noonfall check my-plan.yaml").err) == "");
  here.file("plan.yaml", edited_first_light("until: C2 - 60 s", "untill: C2 - 60 s"));
  CHECK(first_line_missing(
            shown_behind(page("docs/plan-format.md"), "All errors of a plan are reported at once"),
            here.run("noonfall check plan.yaml").err) == "");
}
