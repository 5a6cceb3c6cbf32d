#include "daemon/page/page_server.h"

#include <stdexcept>
#include <thread>
#include <utility>

#include <fmt/format.h>
#include <boost/asio/io_context.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/steady_timer.hpp>

#include "daemon/page/facts_json.h"
#include "daemon/page/page_client.h"

namespace noonfall::page {
namespace {

namespace asio = boost::asio;
using asio::ip::tcp;
using Error = boost::system::error_code;

class ListeningServer final : public PageServer {
 public:
  ListeningServer(std::string token, Obey obey, PageLimits limits)
      : acceptor_{io_}, retry_{io_}, hall_{std::make_shared<PageHall>()} {
    hall_->token = std::move(token);
    hall_->obey = std::move(obey);
    hall_->limits = limits;
  }

  ~ListeningServer() override {
    io_.stop();
    if (thread_.joinable()) thread_.join();
    hall_.reset();  // and with it the clients, while their io_context is still there
  }

  Result<void> listen(const PageAddress& address) {
    Error error;
    const tcp::endpoint end{asio::ip::make_address(address.ip), address.port};
    acceptor_.open(end.protocol(), error);
    if (!error) acceptor_.set_option(tcp::acceptor::reuse_address{true}, error);
    if (!error) acceptor_.bind(end, error);
    if (!error) acceptor_.listen(asio::socket_base::max_listen_connections, error);
    if (error) {
      return fail(error_at(
          {}, "page",
          fmt::format("the page can't be shown at {}:{}: {}", address.ip, address.port, error.message()),
          "another port: --page 127.0.0.1:8028, or --page none"));
    }
    at_ = acceptor_.local_endpoint();
    accept();
    thread_ = std::jthread{[this] { io_.run(); }};
    return {};
  }

  void show(status::StatusFacts facts) override {
    asio::post(io_, [this, facts = std::move(facts)] {
      hall_->pictures.clear();
      for (const auto& rig : facts.rigs) hall_->pictures.push_back(rig.picture);
      // Made for all at once, and for nobody not at all; who comes later has to wait for the next.
      if (hall_->watchers == 0) return hall_->latest.reset();
      hall_->latest = std::make_shared<const std::string>("data: " + facts_json(facts) + "\n\n");
      const auto clients = hall_->clients;  // telling one may end it
      for (const auto& client : clients) client->tell();
    });
  }

  [[nodiscard]] std::string address() const override {
    // Of all of this machine's addresses the one that commands may be given at.
    const auto all = at_.address().is_unspecified();
    const auto ip =
        all ? std::string{at_.address().is_v6() ? "::1" : "127.0.0.1"} : at_.address().to_string();
    return fmt::format("http://{}:{}/", at_.address().is_v6() ? "[" + ip + "]" : ip, at_.port());
  }

 private:
  void accept() {
    acceptor_.async_accept([this](const Error& error, tcp::socket socket) {
      if (error == asio::error::operation_aborted) return;
      if (error) return accept_later();
      welcome(std::move(socket));
      accept();
    });
  }

  /// The system has no descriptor left for a client; asking again at once would only spin.
  void accept_later() {
    retry_.expires_after(std::chrono::seconds{1});
    retry_.async_wait([this](const Error& error) {
      if (!error) accept();
    });
  }

  /// One too many is closed without a word.
  void welcome(tcp::socket socket) {
    if (hall_->clients.size() >= hall_->limits.connections) return;
    const auto client = std::make_shared<PageClient>(std::move(socket), hall_);
    hall_->clients.insert(client);
    client->read();
  }

  asio::io_context io_{1};
  tcp::acceptor acceptor_;
  asio::steady_timer retry_;
  tcp::endpoint at_;
  std::shared_ptr<PageHall> hall_;
  std::jthread thread_;
};

}  // namespace

Result<std::unique_ptr<PageServer>> PageServer::open(const PageAddress& address, std::string token, Obey obey,
                                                     PageLimits limits) {
  try {
    auto server = std::make_unique<ListeningServer>(std::move(token), std::move(obey), limits);
    if (auto listens = server->listen(address); !listens) return fail(std::move(listens.error()));
    return std::unique_ptr<PageServer>{std::move(server)};
  } catch (const std::runtime_error& error) {  // no descriptors, no thread: of Boost or std
    return fail(error_at({}, "page", fmt::format("the page can't be shown: {}", error.what())));
  }
}

}  // namespace noonfall::page
