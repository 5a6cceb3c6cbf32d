#include <cctype>
#include <csignal>
#include <filesystem>
#include <ostream>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "daemon/cameras/description_text.h"
#include "daemon/cli/cameras_actions.h"
#include "daemon/posix/text_file.h"
#include "lib/base/plain_text.h"
#include "lib/json/json.h"
#include "lib/time/duration_text.h"

namespace noonfall::cli {
namespace {

using namespace std::chrono_literals;

constexpr std::chrono::seconds real_grace{5};
// Until a slow card has all of the burst that filled the buffer; nothing is said meanwhile.
constexpr std::chrono::seconds longest_burst{300};

void complain(const Diagnostics& errors, Exit exit, Context& context) {
  context.err << to_text(errors);
  context.exit = exit;
}

/// Of a file's own name, else of the serial number: small letters, digits and "-".
std::string profile_name(const CamerasOptions& options) {
  const auto from =
      options.out.empty() ? "body-" + options.measure : std::filesystem::path{options.out}.stem().string();
  std::string name;
  for (const char c : from.substr(0, 60)) {
    const auto letter = static_cast<unsigned char>(c);
    name += std::isalnum(letter) != 0 && letter < 128 ? static_cast<char>(std::tolower(letter)) : '-';
  }
  return name;
}

void announce(const measure::Extent& extent, const CamerasOptions& options, std::ostream& err) {
  const auto minutes = std::chrono::ceil<std::chrono::minutes>(extent.lasts).count();
  err << fmt::format(
      "{}: at most {} frames of at most 2 s follow, in about {} min. Nothing is deleted from the card.\n"
      "LEAVE THE LENS CAP OR THE SOLAR FILTER ON for all of it: the pictures may be dark.\n",
      plain_line(options.measure), extent.frames, minutes);
  if (options.simulate.empty())
    err << fmt::format("It begins in {} s. Ctrl-C ends it after the frame in progress.\n",
                       real_grace.count());
  err << std::flush;
}

void deliver(const cameras::MeasuredProfile& measured, const CamerasOptions& options, Context& context) {
  if (!options.out.empty()) {
    if (const auto written = posix::write_text_file(options.out, measured.yaml); !written)
      return complain(written.error(), Exit::environment, context);
  }
  if (options.json) {
    context.out << json::to_indented({{"serial", options.measure},
                                      {"profile", profile_name(options)},
                                      {"frames", measured.frames},
                                      {"file", options.out},
                                      {"yaml", measured.yaml}});
    return;
  }
  if (options.out.empty()) {
    context.out << measured.yaml;
    return;
  }
  context.out << fmt::format(
      "{} has the profile {}, from {} frames. Read its first lines: they say how sure it is.\n", options.out,
      profile_name(options), measured.frames);
}

/// Ctrl-C goes to the camera process as well, which ends its frame and lets go of the body: we wait for that.
class PatientWithInterrupts {
 public:
  PatientWithInterrupts() : before_{std::signal(SIGINT, SIG_IGN)} {}
  ~PatientWithInterrupts() { std::signal(SIGINT, before_); }
  PatientWithInterrupts(const PatientWithInterrupts&) = delete;
  PatientWithInterrupts& operator=(const PatientWithInterrupts&) = delete;

 private:
  void (*before_)(int);
};

}  // namespace

void measure_camera(const CamerasOptions& options, Context& context) {
  if (!options.out.empty() && std::filesystem::exists(options.out)) {
    return complain({error_at({}, "file", fmt::format("{} exists already", options.out),
                              "another name, or that file moved away")},
                    Exit::environment, context);
  }
  const auto grace = options.simulate.empty() ? real_grace : std::chrono::seconds{0};
  auto command = camera_command(options, {"--measure", options.measure, "--name", profile_name(options),
                                          "--grace", fmt::format("{}", grace.count())});
  command.patience = longest_burst;
  ProgressLine progress{context.err};
  const PatientWithInterrupts patient;
  std::optional<cameras::MeasuredProfile> measured;
  const auto ran = cameras::run_camera(command, [&](const cameras::Said& said) {
    if (const auto* told = std::get_if<body::Description>(&said)) context.err << cameras::to_text(*told);
    if (const auto* extent = std::get_if<measure::Extent>(&said)) announce(*extent, options, context.err);
    if (const auto* now = std::get_if<cameras::InspectionProgress>(&said))
      progress.show(now->part, now->done, now->of, "frames");
    if (const auto* done = std::get_if<cameras::MeasuredProfile>(&said)) measured = *done;
  });
  progress.end();
  if (!ran) return complain(ran.error(), Exit::environment, context);
  if (measured) deliver(*measured, options, context);
}

}  // namespace noonfall::cli
