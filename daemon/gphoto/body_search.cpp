#include "daemon/gphoto/body_search.h"

#include <algorithm>
#include <utility>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "daemon/gphoto/body_description.h"
#include "lib/base/plain_text.h"

namespace noonfall::gphoto {
namespace {

/// Names and texts of a device are anybody's.
std::string shown(std::string_view text) {
  return plain_line(text.substr(0, 64));
}

class Search {
 public:
  Search(Cables& cables, const std::string& serial) : cables_{cables}, serial_{serial} {}

  tl::expected<OpenedBody, NotFound> run() {
    const auto found = cables_.detect();
    if (!found) return fail("the cables can't be searched: " + words_of(found.error()));
    for (const auto& each : *found) look_at(each);
    if (matches_.size() == 1) return std::move(matches_.front());
    if (matches_.size() > 1) {
      return fail(fmt::format("two bodies say that their serial number is {}: {} and {}", serial_,
                              matches_[0].where.path, matches_[1].where.path));
    }
    return fail(others_.empty() ? fmt::format("no body is on a cable, {} is looked for", serial_)
                                : fmt::format("no body has the serial number {}; there are: {}", serial_,
                                              fmt::join(others_, "; ")));
  }

 private:
  void look_at(const ListedBody& found) {
    auto session = cables_.open(found);
    const auto place = fmt::format("{} at {}", shown(found.model), found.path);
    if (!session) {
      held_elsewhere_ = held_elsewhere_ || session.error().code == result::claimed_elsewhere;
      others_.push_back(fmt::format("{}: {}", place, words_of(session.error())));
      return;
    }
    const auto serials = serials_of(**session);
    const auto is_it = [&](const std::string& serial) { return same_serial(serial, serial_); };
    if (std::ranges::any_of(serials, is_it)) {
      matches_.push_back({std::move(*session), found});
      return;
    }
    others_.push_back(serials.empty() ? fmt::format("one without a serial number ({})", place)
                                      : fmt::format("{} ({})", shown(serials.front()), place));
  }

  [[nodiscard]] tl::unexpected<NotFound> fail(std::string why) const {
    return tl::unexpected{NotFound{std::move(why), held_elsewhere_}};
  }

  Cables& cables_;
  const std::string& serial_;
  std::vector<OpenedBody> matches_;
  std::vector<std::string> others_;
  bool held_elsewhere_ = false;
};

}  // namespace

tl::expected<OpenedBody, NotFound> find_body(Cables& cables, const std::string& serial) {
  return Search{cables, serial}.run();
}

}  // namespace noonfall::gphoto
