#include "daemon/cameras/device_holders.h"

#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <fstream>

#include <fmt/format.h>

namespace noonfall::cameras {
namespace {

namespace fs = std::filesystem;

bool digits(std::string_view text) {
  return !text.empty() && std::all_of(text.begin(), text.end(), [](char c) { return c >= '0' && c <= '9'; });
}

bool holds(const fs::path& process, const std::string& device) {
  std::error_code hidden;
  for (fs::directory_iterator open{process / "fd", hidden}, end; !hidden && open != end;
       open.increment(hidden)) {
    std::error_code gone;
    if (fs::read_symlink(open->path(), gone) == device) return true;
  }
  return false;
}

/// From its command line, as the kernel's own name for it is cut after 15 letters.
std::string name_of(const fs::path& process) {
  std::ifstream command{process / "cmdline", std::ios::binary};
  std::string word;
  std::getline(command, word, '\0');
  if (!word.empty()) return fs::path{word}.filename().string();
  std::ifstream comm{process / "comm"};
  std::getline(comm, word);
  return word;
}

}  // namespace

std::optional<std::string> device_file(std::string_view port) {
  if (!port.starts_with("usb:")) return std::nullopt;
  port.remove_prefix(4);
  const auto comma = port.find(',');
  if (comma == std::string_view::npos) return std::nullopt;
  const auto bus = port.substr(0, comma);
  const auto address = port.substr(comma + 1);
  if (!digits(bus) || !digits(address)) return std::nullopt;
  return fmt::format("/dev/bus/usb/{}/{}", bus, address);
}

std::vector<Holder> holders_of(const std::string& device, const std::string& proc) {
  std::vector<Holder> holders;
  std::error_code failed;
  for (fs::directory_iterator process{proc, failed}, end; !failed && process != end;
       process.increment(failed)) {
    const auto number = process->path().filename().string();
    if (!digits(number) || number == std::to_string(::getpid())) continue;
    if (holds(process->path(), device)) holders.push_back({std::stoi(number), name_of(process->path())});
  }
  std::sort(holders.begin(), holders.end(), [](const auto& a, const auto& b) { return a.pid < b.pid; });
  return holders;
}

std::string cure(const std::vector<Holder>& holders) {
  const bool desktop = std::any_of(holders.begin(), holders.end(),
                                   [](const auto& holder) { return holder.name.starts_with("gvfs"); });
  if (desktop) {
    return "the desktop kept from mounting cameras: systemctl --user mask --now "
           "gvfs-gphoto2-volume-monitor.service, then pull the cable and put it back";
  }
  if (holders.empty())
    return "the program that holds it, ended; only the superuser sees those of other users";
  return "that program ended, or its camera closed";
}

}  // namespace noonfall::cameras
