#include "tests/wire/contract_kinds.h"

#include "daemon/gphoto/on_cables.h"
#include "daemon/gphoto/picture_folder.h"
#include "daemon/worker/paced_body.h"

namespace noonfall::tests {
namespace {

class InProcess final : public ContractBody {
 public:
  explicit InProcess(const std::vector<sim::Fault>& faults)
      : body_{sim::BodySetup{contract_profile(), body::Files::raw, 1, 1, faults}, clock_, stop_,
              [this](const sim::RecordedFrame& frame) { taken_.push_back(frame); }} {}

  [[nodiscard]] std::vector<sim::RecordedFrame> taken() const override { return taken_; }

 protected:
  rig::Camera& camera() override { return body_; }

 private:
  std::vector<sim::RecordedFrame> taken_;
  worker::PacedBody body_;
};

std::vector<std::string> options_of(const Usb& usb, const std::vector<sim::Fault>& faults,
                                    const std::string& line_faults, const std::vector<std::string>& more) {
  std::vector<std::string> options{"--serial", "3012345"};
  const auto add = [&](const std::vector<std::string>& words) {
    options.insert(options.end(), words.begin(), words.end());
  };
  add(more);
  if (!faults.empty()) add(with_faults(usb, faults));
  if (!line_faults.empty()) add(with_line_faults(usb, line_faults));
  return options;
}

class Wired final : public ContractBody {
 public:
  Wired(const std::string& family, const std::vector<sim::Fault>& faults, const std::string& line_faults,
        body::Files files, const std::string& searched, const std::vector<std::string>& more)
      : body_{usb_, family, options_of(usb_, faults, line_faults, more)},
        camera_{gphoto::camera_on_cable({searched, contract_profile(), files, pictures_}, clock_, stop_)} {}

  [[nodiscard]] std::vector<sim::RecordedFrame> taken() const override { return body_.taken(); }

 protected:
  rig::Camera& camera() override { return *camera_; }

 private:
  Usb usb_;
  Body body_;
  std::shared_ptr<gphoto::PictureFolder> pictures_ =
      std::make_shared<gphoto::RunPictures>(usb_.folder().path("pictures"));
  std::unique_ptr<rig::Camera> camera_;
};

}  // namespace

std::unique_ptr<ContractBody> wired_body(const std::string& family, const std::vector<sim::Fault>& faults,
                                         const std::string& line_faults, body::Files files,
                                         const std::string& searched, const std::vector<std::string>& more) {
  return std::make_unique<Wired>(family, faults, line_faults, files, searched, more);
}

const std::vector<BodyKind>& wired_kinds() {
  static const std::vector<BodyKind> kinds = [] {
    std::vector<BodyKind> all;
    using Pictures = BodyKind::Ways::Pictures;
    struct Kind {
      std::string family;
      BodyKind::Ways ways;
    };
    for (const auto& [family, ways] : {Kind{"generic", {}},
                                       {"a", {}},
                                       {"b", {}},
                                       {"sony", {Pictures::silent}},
                                       {"fuji", {Pictures::fetched, false}},
                                       {"panasonic", {Pictures::announced, false}},
                                       {"olympus", {Pictures::announced, false}}}) {
      BodyKind kind{family, [family = family](const auto& faults) { return wired_body(family, faults); }};
      kind.ways = ways;
      all.push_back(std::move(kind));
    }
    return all;
  }();
  return kinds;
}

const std::vector<BodyKind>& body_kinds() {
  static const std::vector<BodyKind> kinds = [] {
    std::vector<BodyKind> all{
        {"in process", [](const auto& faults) { return std::make_unique<InProcess>(faults); }}};
    for (const auto& kind : wired_kinds()) all.push_back(kind);
    return all;
  }();
  return kinds;
}

}  // namespace noonfall::tests
