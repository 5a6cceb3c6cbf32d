// One connection to the page's server: requests in turn, or the events as long as it watches.
#pragma once

#include <cstddef>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include <boost/asio/ip/tcp.hpp>
#include <boost/beast/core/flat_buffer.hpp>
#include <boost/beast/core/tcp_stream.hpp>
#include <boost/beast/http/parser.hpp>
#include <boost/beast/http/string_body.hpp>

#include "daemon/page/page_rules.h"
#include "daemon/page/page_server.h"

namespace noonfall::page {

class PageClient;

/// What the clients of one server share; all on its thread, and gone with it.
struct PageHall {
  std::string token;
  PageServer::Obey obey;
  PageLimits limits;
  std::set<std::shared_ptr<PageClient>> clients;
  std::size_t watchers = 0;
  std::shared_ptr<const std::string> latest;                 // the newest event, ready to be sent
  std::vector<std::shared_ptr<const std::string>> pictures;  // by rig, JPEGs; none yet
};

/// Lives as long as the hall lists it or a call of its own is under way.
class PageClient : public std::enable_shared_from_this<PageClient> {
 public:
  PageClient(boost::asio::ip::tcp::socket socket, const std::shared_ptr<PageHall>& hall);

  void read();
  /// The hall has news.
  void tell();
  void cut();

 private:
  using Parser = boost::beast::http::request_parser<boost::beast::http::string_body>;
  using Failure = boost::beast::error_code;

  [[nodiscard]] Request request() const;
  void answer_request(const Failure& error);
  void answer(const Ruling& ruling);
  void show_picture(std::size_t rig);
  void obey();
  void send(unsigned status, std::string_view type, std::string body);
  void watch();
  void write(std::shared_ptr<const std::string> bytes, void (PageClient::*then)());
  void leave();

  boost::beast::tcp_stream stream_;
  boost::beast::flat_buffer buffer_;
  std::optional<Parser> parser_;
  std::weak_ptr<PageHall> hall_;
  Access access_;
  int requests_ = 0;
  bool keeps_ = false;  // the connection, after this answer
  bool watching_ = false;
  bool writing_ = false;
  std::shared_ptr<const std::string> told_;  // the event sent last
};

}  // namespace noonfall::page
