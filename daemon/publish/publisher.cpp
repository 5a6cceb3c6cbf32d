#include "daemon/publish/publisher.h"

#include <charconv>
#include <chrono>
#include <condition_variable>
#include <mutex>
#include <optional>
#include <system_error>
#include <thread>
#include <utility>

#include <fmt/format.h>
#include <mosquitto.h>

#include "daemon/page/facts_json.h"
#include "lib/base/plain_text.h"

namespace noonfall::publish {
namespace {

using Clock = std::chrono::steady_clock;

constexpr std::string_view scheme = "mqtt://";
constexpr int keep_alive_s = 15;
constexpr unsigned first_pause_s = 1;
constexpr unsigned longest_pause_s = 30;
constexpr auto pause = std::chrono::seconds{5};
constexpr auto last_words = std::chrono::seconds{1};
constexpr auto period = std::chrono::milliseconds{950};  // the run is shown each second

noonfall::Failure no_broker(std::string_view text) {
  return fail(error_at({}, "publish", fmt::format("\"{}\" is no broker to publish to", plain_line(text)),
                       "mqtt://HOST or mqtt://HOST:PORT"));
}

struct Session {
  explicit Session(std::string state_topic) : state{std::move(state_topic)} {
    mosquitto_lib_init();
    handle = mosquitto_new(nullptr, true, this);
  }
  Session(const Session&) = delete;
  Session& operator=(const Session&) = delete;
  ~Session() {
    mosquitto_destroy(handle);
    mosquitto_lib_cleanup();
  }

  /// At most once delivered (QoS 0): dropped while there is no line.
  void say(const std::string& topic, const std::string& words) const {
    mosquitto_publish(handle, nullptr, topic.c_str(), static_cast<int>(words.size()), words.data(), 0, true);
  }

  std::string state;
  mosquitto* handle = nullptr;
  std::mutex mutex;
  std::condition_variable changed;
  bool ending = false;
  bool ended = false;
};

/// In a thread of its own, since finding and reaching a broker may take minutes.
void stay_connected(const std::shared_ptr<Session>& session, const Broker& broker) {
  std::unique_lock lock{session->mutex};
  while (!session->ending) {
    lock.unlock();
    const auto connected = mosquitto_connect(session->handle, broker.host.c_str(), broker.port, keep_alive_s);
    if (connected == MOSQ_ERR_SUCCESS) mosquitto_loop_forever(session->handle, -1, 1);
    lock.lock();
    session->changed.wait_for(lock, pause, [&] { return session->ending; });
  }
  session->ended = true;
  session->changed.notify_all();
}

class MosquittoPublisher final : public Publisher {
 public:
  MosquittoPublisher(std::shared_ptr<Session> session, std::string run)
      : session_{std::move(session)}, run_{std::move(run)} {}

  /// A thread that is still looking for its broker is left behind.
  ~MosquittoPublisher() override {
    session_->say(session_->state, "gone");
    std::unique_lock lock{session_->mutex};
    session_->ending = true;
    session_->changed.notify_all();
    lock.unlock();
    mosquitto_disconnect(session_->handle);
    lock.lock();
    session_->changed.wait_for(lock, last_words, [&] { return session_->ended; });
  }

  void show(const status::StatusFacts& facts) override {
    const auto now = Clock::now();
    if (shown_ && now - *shown_ < period) return;
    shown_ = now;
    session_->say(run_, page::facts_json(facts));
  }

 private:
  std::shared_ptr<Session> session_;
  std::string run_;
  std::optional<Clock::time_point> shown_;
};

}  // namespace

Result<Broker> parse_broker(std::string_view text) {
  if (!text.starts_with(scheme)) return no_broker(text);
  const auto rest = text.substr(scheme.size());
  const auto colon = rest.rfind(':');
  Broker broker{std::string{rest.substr(0, colon)}};
  if (broker.host.empty() || broker.host.find_first_of("/@:? ") != std::string::npos) return no_broker(text);
  if (colon == std::string_view::npos) return broker;
  const auto port = rest.substr(colon + 1);
  const auto [end, error] = std::from_chars(port.data(), port.data() + port.size(), broker.port);
  if (error != std::errc{} || end != port.data() + port.size() || broker.port == 0) return no_broker(text);
  return broker;
}

std::string topic_of(std::string_view host, std::string_view run) {
  auto topic = fmt::format("noonfall/{}/{}", plain_line(host), plain_line(run));
  int slashes = 0;
  for (auto& c : topic) {
    const bool part = c != '/' || ++slashes <= 2;
    if (c == '+' || c == '#' || !part) c = '_';  // MQTT 3.1.1, 4.7: levels and wildcards
  }
  return topic;
}

Result<std::unique_ptr<Publisher>> Publisher::open(const Broker& broker, const std::string& topic) {
  auto session = std::make_shared<Session>(topic + "/state");
  if (session->handle == nullptr) return fail(error_at({}, "publish", "the MQTT library can't begin"));
  const std::string_view gone = "gone";
  mosquitto_threaded_set(session->handle, true);
  mosquitto_will_set(session->handle, session->state.c_str(), static_cast<int>(gone.size()), gone.data(), 1,
                     true);
  mosquitto_reconnect_delay_set(session->handle, first_pause_s, longest_pause_s, true);
  mosquitto_connect_callback_set(session->handle, [](mosquitto*, void* self, int refused) {
    const auto& here = *static_cast<Session*>(self);
    if (refused == 0) here.say(here.state, "here");
  });
  try {
    std::thread{stay_connected, session, broker}.detach();
  } catch (const std::system_error& error) {
    return fail(error_at({}, "publish", fmt::format("nothing is published: {}", error.what())));
  }
  return std::unique_ptr<Publisher>{std::make_unique<MosquittoPublisher>(std::move(session), topic + "/run")};
}

}  // namespace noonfall::publish
