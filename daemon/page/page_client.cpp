#include "daemon/page/page_client.h"

#include <utility>

#include <fmt/format.h>
#include <boost/asio/post.hpp>
#include <boost/asio/write.hpp>
#include <boost/beast/http/error.hpp>
#include <boost/beast/http/read.hpp>

#include "lib/json/encodings.h"

namespace noonfall::embedded {
std::string_view page_html();
std::string_view page_css();
std::string_view page_js();
std::string_view icon_svg();
}  // namespace noonfall::embedded

namespace noonfall::page {
namespace {

namespace asio = boost::asio;
namespace beast = boost::beast;
namespace http = beast::http;
using asio::ip::tcp;

constexpr int most_requests = 100;  // of one connection
constexpr std::string_view text_type = "text/plain; charset=utf-8";

/// Each answer has them: nothing from elsewhere, into no frame, kept nowhere.
constexpr std::string_view guards =
    "Content-Security-Policy: default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; "
    "connect-src 'self'; form-action 'none'; frame-ancestors 'none'; base-uri 'none'\r\n"
    "X-Content-Type-Options: nosniff\r\n"
    "Referrer-Policy: no-referrer\r\n"
    "Cache-Control: no-store\r\n";

std::string with_port(const tcp::endpoint& end) {
  const auto ip = end.address().to_string();
  return fmt::format("{}:{}", end.address().is_v6() ? "[" + ip + "]" : ip, end.port());
}

/// By the address it was connected to, so that one server on all addresses knows its names.
Access access_of(const tcp::endpoint& end, const std::string& token) {
  Access access{{with_port(end)}, end.address().is_loopback(), token};
  if (access.commands) access.hosts.push_back(fmt::format("localhost:{}", end.port()));
  return access;
}

struct Say {
  std::string words;
};
void fields(auto& io, json::Like<Say> auto& it) {
  io("say", it.words, json::Text{control::longest_command});
}

unsigned status_of(const beast::error_code& error) {
  if (error == http::error::header_limit) return 431;
  return error == http::error::body_limit ? 413 : 400;
}

}  // namespace

PageClient::PageClient(tcp::socket socket, const std::shared_ptr<PageHall>& hall)
    : stream_{std::move(socket)}, buffer_{hall->limits.header_bytes + hall->limits.body_bytes}, hall_{hall} {
  beast::error_code error;
  const auto end = stream_.socket().local_endpoint(error);
  if (!error) access_ = access_of(end, hall->token);
  // Few bytes wait in the system for a client that takes none.
  stream_.socket().set_option(asio::socket_base::send_buffer_size{64 << 10}, error);
}

void PageClient::read() {
  const auto hall = hall_.lock();
  if (!hall || ++requests_ > most_requests) return leave();
  parser_.emplace();
  parser_->header_limit(static_cast<std::uint32_t>(hall->limits.header_bytes));
  parser_->body_limit(hall->limits.body_bytes);
  stream_.expires_after(hall->limits.request);
  http::async_read(
      stream_, buffer_, *parser_,
      [self = shared_from_this()](const Failure& error, std::size_t) { self->answer_request(error); });
}

Request PageClient::request() const {
  const auto& in = parser_->get();
  const auto field = [&](http::field name) { return std::string{in[name]}; };
  const auto hosts = in.count(http::field::host);
  return {.method = std::string{in.method_string()},
          .target = std::string{in.target()},
          .host = field(http::field::host),
          .origin = field(http::field::origin),
          .fetch_site = std::string{in["Sec-Fetch-Site"]},
          .content_type = field(http::field::content_type),
          .authorization = field(http::field::authorization),
          .own_header = std::string{in["X-Noonfall"]},
          .one_host = hosts == 1,
          .two_lengths =
              in.count(http::field::content_length) > 0 && in.count(http::field::transfer_encoding) > 0};
}

void PageClient::answer_request(const Failure& error) {
  keeps_ = false;
  const bool ended = error == http::error::end_of_stream || error == asio::error::operation_aborted ||
                     error == beast::error::timeout;
  if (ended || (error && error.category() != http::make_error_code(http::error::bad_method).category()))
    return leave();
  if (error) return send(status_of(error), text_type, "that is no request this server takes\n");
  const auto ruling = rule(request(), access_);
  if (!ruling.wanted) return send(ruling.status, text_type, ruling.words + "\n");
  keeps_ = parser_->keep_alive();
  answer(ruling);
}

void PageClient::answer(const Ruling& ruling) {
  switch (*ruling.wanted) {
    case Wanted::page:
      return send(200, "text/html; charset=utf-8", std::string{embedded::page_html()});
    case Wanted::style:
      return send(200, "text/css; charset=utf-8", std::string{embedded::page_css()});
    case Wanted::script:
      return send(200, "text/javascript; charset=utf-8", std::string{embedded::page_js()});
    case Wanted::icon:
      return send(200, "image/svg+xml", std::string{embedded::icon_svg()});
    case Wanted::events:
      return watch();
    case Wanted::command:
      return obey();
    case Wanted::picture:
      return show_picture(ruling.rig);
  }
}

void PageClient::show_picture(std::size_t rig) {
  const auto hall = hall_.lock();
  if (!hall) return leave();
  const auto picture = rig < hall->pictures.size() ? hall->pictures[rig] : nullptr;
  if (!picture) return send(404, text_type, "there is no picture yet\n");
  send(200, "image/jpeg", *picture);
}

void PageClient::obey() {
  const auto hall = hall_.lock();
  if (!hall) return leave();
  const auto said =
      json::read<Say>(parser_->get().body(), {.code = "command", .unknown = json::Unknown::refused});
  if (!said || said->words.find('\n') != std::string::npos) {
    keeps_ = false;
    const auto why = said ? std::string{"a command is one line"} : on_one_line(said.error().front());
    return send(400, "application/json", control::to_line({false, why}));
  }
  hall->obey(said->words, [weak = weak_from_this()](control::Answer answer) {
    const auto self = weak.lock();
    if (!self) return;
    asio::post(self->stream_.get_executor(),
               [self, line = control::to_line(answer)] { self->send(200, "application/json", line); });
  });
}

void PageClient::send(unsigned status, std::string_view type, std::string body) {
  const auto head =
      fmt::format("HTTP/1.1 {} {}\r\nContent-Type: {}\r\nContent-Length: {}\r\n{}Connection: {}\r\n\r\n",
                  status, std::string{http::obsolete_reason(static_cast<http::status>(status))}, type,
                  body.size(), guards, keeps_ ? "keep-alive" : "close");
  const bool no_body = parser_->get().method() == http::verb::head;
  write(std::make_shared<const std::string>(no_body ? head : head + body),
        keeps_ ? &PageClient::read : &PageClient::leave);
}

void PageClient::watch() {
  const auto hall = hall_.lock();
  if (!hall) return leave();
  if (parser_->get().method() == http::verb::head) return send(200, "text/event-stream", {});
  if (hall->watchers >= hall->limits.watchers) {
    keeps_ = false;
    return send(503, text_type, fmt::format("{} others watch already; close one of them\n", hall->watchers));
  }
  ++hall->watchers;
  watching_ = true;
  const auto access = json::Json{
      {"commands", access_.commands && !access_.token.empty()},
      {"words", access_.commands ? "On noonfalld's own machine: commands need the address that it printed."
                                 : "From another machine this page is for watching."}};
  write(std::make_shared<const std::string>(
            fmt::format("HTTP/1.1 200 OK\r\nContent-Type: text/event-stream\r\n{}Connection: close\r\n\r\n"
                        "retry: 1000\n\nevent: access\ndata: {}\n",
                        guards, json::to_line(access))),
        &PageClient::tell);
}

/// One event is on its way at most: while it is, newer ones replace each other.
void PageClient::tell() {
  const auto hall = hall_.lock();
  if (!hall) return leave();
  if (!watching_ || writing_ || !hall->latest || told_ == hall->latest) return;
  told_ = hall->latest;
  write(told_, &PageClient::tell);
}

void PageClient::write(std::shared_ptr<const std::string> bytes, void (PageClient::*then)()) {
  const auto hall = hall_.lock();
  if (!hall) return;
  writing_ = true;
  stream_.expires_after(hall->limits.progress);
  const auto buffer = asio::buffer(*bytes);
  asio::async_write(stream_, buffer,
                    [self = shared_from_this(), then, bytes](const Failure& error, std::size_t) {
                      self->writing_ = false;
                      if (error) return self->leave();
                      (self.get()->*then)();
                    });
}

void PageClient::cut() {
  Failure ignored;
  stream_.socket().shutdown(tcp::socket::shutdown_both, ignored);
  stream_.close();
}

void PageClient::leave() {
  cut();
  const auto hall = hall_.lock();
  if (!hall) return;
  if (std::exchange(watching_, false)) --hall->watchers;
  hall->clients.erase(shared_from_this());
}

}  // namespace noonfall::page
