#include "tests/unit/gphoto/scripted_body.h"

#include <algorithm>
#include <utility>

namespace noonfall::gphoto {
namespace {

std::optional<DriverError> struck(const Script& script, const std::string& call) {
  return script.strikes ? script.strikes(call) : std::nullopt;
}

class ScriptedSession final : public Session {
 public:
  explicit ScriptedSession(std::shared_ptr<Script> script) : script_{std::move(script)} {}

  [[nodiscard]] const About& about() const override { return script_->about; }
  void answer_within(Duration limit) override { script_->patience = limit; }
  Tried<std::string> fetch(const std::string& path) override {
    if (auto called = call("fetch", path); !called) return tl::unexpected{called.error()};
    const auto found = script_->contents.find(path);
    return found == script_->contents.end() ? "picture" : found->second;
  }
  Tried<std::string> preview(const std::string& path) override {
    if (auto called = call("preview", path); !called) return tl::unexpected{called.error()};
    return "small " + path;
  }
  Tried<void> drop(const std::string& path) override { return call("drop", path); }

  Tried<Control> control(const std::string& name) override {
    if (auto called = call("read " + name); !called) return tl::unexpected{called.error()};
    const auto found = script_->controls.find(name);
    if (found == script_->controls.end()) return tl::unexpected{DriverError{result::bad_parameters, {}}};
    return found->second;
  }
  Tried<void> set(const std::string& name, const std::string& label) override {
    if (auto called = call("set " + name, label); !called) return called;
    const auto shown = script_->shown.find(label);
    script_->controls[name].label = shown == script_->shown.end() ? label : shown->second;
    return {};
  }
  Tried<void> trigger() override { return call("trigger"); }
  Tried<News> news(int wait_ms) override {
    if (auto called = call("news"); !called) return tl::unexpected{called.error()};
    auto& told = script_->news;
    const auto until = script_->now + std::chrono::milliseconds{wait_ms};
    if (told.empty() || told.front().at > until) {
      script_->now = until;
      return News{};
    }
    script_->now = std::max(script_->now, told.front().at);
    auto news = std::move(told.front().news);
    told.pop_front();
    return news;
  }
  Tried<std::vector<Store>> stores() override {
    if (auto called = call("stores"); !called) return tl::unexpected{called.error()};
    return script_->stores;
  }
  Tried<std::uint64_t> file_bytes(const std::string& path) override {
    if (auto called = call("size " + path); !called) return tl::unexpected{called.error()};
    return std::uint64_t{25'000'000};
  }
  Tried<std::vector<std::string>> files() override {
    script_->now += script_->listing_time;
    if (auto called = call("list"); !called) return tl::unexpected{called.error()};
    return script_->files;
  }

 private:
  Tried<void> call(const std::string& what, const std::string& with = {}) {
    auto& script = *script_;
    const auto whole = with.empty() ? what : what + " " + with;
    script.called.push_back(script.now);
    script.calls.push_back(whole);
    if (script.on_call) script.on_call(whole);
    script.now += script.call_time;
    if (auto error = struck(script, whole)) return tl::unexpected{std::move(*error)};
    if (!script.plugged) return tl::unexpected{DriverError{result::device_gone, {}}};
    auto& failures = script.failures[what];
    if (failures.empty()) return {};
    auto error = std::move(failures.front());
    failures.pop_front();
    return tl::unexpected{std::move(error)};
  }

  std::shared_ptr<Script> script_;
};

class ScriptedCables final : public Cables {
 public:
  explicit ScriptedCables(std::shared_ptr<Script> script) : script_{std::move(script)} {}

  Tried<std::vector<ListedBody>> detect() override {
    if (auto error = struck(*script_, "detect")) return tl::unexpected{std::move(*error)};
    return script_->plugged ? std::vector<ListedBody>{{"Scripted", "usb:001,001"}}
                            : std::vector<ListedBody>{};
  }
  Tried<std::unique_ptr<Session>> open(const ListedBody& /*found*/) override {
    script_->calls.emplace_back("open");
    script_->called.push_back(script_->now);
    if (auto error = struck(*script_, "open")) return tl::unexpected{std::move(*error)};
    return std::make_unique<ScriptedSession>(script_);
  }
  void reset_port(const ListedBody& /*found*/) override {
    script_->calls.emplace_back("reset");
    script_->called.push_back(script_->now);
  }

 private:
  std::shared_ptr<Script> script_;
};

class ScriptedTime final : public PlanTime {
 public:
  explicit ScriptedTime(std::shared_ptr<Script> script) : script_{std::move(script)} {}

  Utc now() override { return script_->now; }
  void wait_until(Utc when) override {
    if (!script_->stopping) script_->now = std::max(script_->now, when);
  }
  void sleep(Duration span) override { script_->now += span; }
  [[nodiscard]] bool stopping() const override { return script_->stopping; }

 private:
  std::shared_ptr<Script> script_;
};

}  // namespace

std::size_t Script::count(const std::string& call) const {
  return static_cast<std::size_t>(std::ranges::count(calls, call));
}

Utc Script::last(const std::string& call) const {
  for (auto n = calls.size(); n-- > 0;) {
    if (calls[n] == call) return called[n];
  }
  return Utc::min();
}

std::shared_ptr<Script> generic_body() {
  auto script = std::make_shared<Script>();
  script->offers("serialnumber", "3012345", {});
  script->offers("capturetarget", "Internal RAM", {"Internal RAM", "Memory card"});
  script->offers("imageformat", "RAW", {"RAW", "Large Fine JPEG"});
  script->offers("expprogram", "M", {"M"});
  script->offers("focusmode", "Manual", {"Manual"});
  script->offers("batterylevel", "80%", {});
  script->offers("shutterspeed", "1/60", {"1", "1/60", "1/500", "bulb"});
  script->offers("aperture", "8", {"5.6", "8"});
  script->offers("iso", "100", {"100", "200", "400", "800"});
  script->offers("capturemode", "Single Shot", {"Single Shot", "Burst"});
  script->offers("burstnumber", "1", {});
  return script;
}

std::shared_ptr<Script> family_b_body() {
  auto script = generic_body();
  script->about.extension = extension::b;
  script->about.operations.insert(0x9128);
  script->offers("eosremoterelease", "None", {"None", "Press Full MF", "Release Full"});
  script->on_call = [body = script.get()](const std::string& call) {
    for (const auto* name : {"shutterspeed", "aperture", "iso", "capturemode"}) {
      const auto set = std::string{"set "} + name + " ";
      if (!call.starts_with(set)) continue;
      body->tells(
          std::chrono::milliseconds{20}, News::Kind::other,
          "PTP Property d101 changed, \"" + std::string{name} + "\" to \"" + call.substr(set.size()) + "\"");
    }
  };
  return script;
}

std::shared_ptr<Script> family_a_body() {
  auto script = generic_body();
  script->about.extension = extension::a;
  script->about.operations.insert({0x90C0, 0x90C2, 0x9207});
  script->offers("opcode", "0x1001,0xparam1,0xparam2", {});
  script->offers("controlmode", "0", {});
  return script;
}

std::shared_ptr<Script> sony_body() {
  auto script = generic_body();
  script->about.extension = extension::sony;
  script->about.operations = {0x1001, 0x9201, 0x9205, 0x9207, 0x9209};  // no 100E
  script->offers("capture", "2", {});
  script->offers("capturetarget", "sdram", {"sdram", "card+sdram", "card"});
  script->offers("d222", "1", {"1", "17", "16"});
  script->stores.clear();
  return script;
}

std::shared_ptr<Script> fuji_body() {
  auto script = generic_body();
  script->about.extension = extension::fuji;
  script->controls.erase("capturetarget");
  script->offers("opcode", "0x1001,0xparam1,0xparam2", {});
  script->offers("d208", "260", {"260", "512", "4", "772", "1280", "12"});
  script->stores.clear();
  return script;
}

std::shared_ptr<Script> panasonic_body() {
  auto script = generic_body();
  script->about.extension = extension::panasonic;
  script->about.operations = {0x1001, 0x9402, 0x9403, 0x9404};
  script->offers("opcode", "0x1001,0xparam1,0xparam2", {});
  return script;
}

std::shared_ptr<Script> olympus_body() {
  auto script = generic_body();
  script->about = {0x00000006, "OMSYSTEM", "OM-1", {0x1001, 0x9481, 0x9486}, "2.5.30"};
  script->controls.erase("capturetarget");
  script->offers("opcode", "0x1001,0xparam1,0xparam2", {});
  script->stores.clear();
  return script;
}

tl::expected<std::string, std::string> ScriptedPictures::keep(std::string_view name, std::string_view bytes) {
  if (!full.empty()) return tl::unexpected{full};
  auto path = "rig-0.pictures/" + std::string{name};
  kept.emplace(path, bytes);
  return path;
}

std::shared_ptr<Cables> cables_of(const std::shared_ptr<Script>& script) {
  return std::make_shared<ScriptedCables>(script);
}

CabledCamera camera_on(const std::shared_ptr<Script>& script, std::optional<body::Profile> profile,
                       std::shared_ptr<PictureFolder> pictures) {
  return {CabledSetup{"3012345", std::move(profile), body::Files::raw, std::move(pictures)},
          cables_of(script), std::make_shared<ScriptedTime>(script)};
}

}  // namespace noonfall::gphoto
