// The Moon's edge a command works with: which was asked for, and where its heights are found.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "daemon/command_line/refusal.h"
#include "lib/base/result.h"
#include "lib/contacts/settings.h"
#include "lib/limb/limb_contacts.h"

namespace noonfall::load {

/// As the command line says it.
struct LimbRequest {
  std::string limb;  // "mean" or "profile"; empty for the best available
  std::string data;  // a strip of lunar heights; empty to look for one
};

/// --limb and --limb-data.
void add_limb_options(CLI::App& command, LimbRequest& request);

/// The heights found, or none: then the edge is the mean limb.
struct LimbData {
  std::shared_ptr<const limb::Strip> strip;
  std::string path;

  [[nodiscard]] contacts::Limb limb() const { return strip ? contacts::Limb::profile : contacts::Limb::mean; }
};

/// Folders in which one strip (*.llb) may lie: noonfall's in XDG_DATA_HOME (else ~/.local/share) and in
/// XDG_DATA_DIRS (else /usr/local/share and /usr/share), as the XDG Base Directory Specification orders them.
[[nodiscard]] std::vector<std::string> limb_data_folders();

/// A strip that is damaged, wherever it lay, is an error: nobody wants other times than those they expect.
[[nodiscard]] tl::expected<LimbData, command_line::Refusal> find_limb_data(const LimbRequest& request);

/// For --version, in two lines: the elements built in, and which heights would be found.
[[nodiscard]] std::string data_versions();

/// Contacts with the edge `data` has. The Sun's radius is the usual one with that edge unless `settings` are
/// to keep theirs.
[[nodiscard]] limb::LimbContacts contacts_with(const LimbData& data, const contacts::Elements& elements,
                                               const contacts::Site& site,
                                               const contacts::Settings& settings);

/// Puts the edge, and with the profile the radius of the Sun that goes with it, into `settings`.
void use_limb(const LimbData& data, contacts::Settings& settings);

}  // namespace noonfall::load
