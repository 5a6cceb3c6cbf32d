#include "daemon/load/download.h"

#include <filesystem>
#include <fstream>
#include <string_view>
#include <system_error>

#include <curl/curl.h>
#include <fmt/format.h>

namespace noonfall::load {
namespace {

namespace fs = std::filesystem;

constexpr long connect_s = 30;
constexpr long least_bytes_a_second = 100;  // for so long, or nothing is coming any more:
constexpr long stalled_s = 60;
constexpr long most_redirects = 5;

struct Ended {
  CURLcode code = CURLE_OK;
  long status = 0;
  bool too_much = false;
  std::string words;  // of the library
};

/// Where bytes go, and how many may still come.
struct Sink {
  std::function<bool(std::string_view)> take;
  std::uint64_t room = 0;
  bool too_much = false;
};

std::size_t take(const char* bytes, std::size_t size, std::size_t count, void* to) {
  auto& sink = *static_cast<Sink*>(to);
  const auto all = size * count;
  sink.too_much = all > sink.room;
  if (sink.too_much || !sink.take({bytes, all})) return 0;  // ends it
  sink.room -= all;
  return all;
}

struct Curl {
  Curl() { curl_global_init(CURL_GLOBAL_DEFAULT); }
  Curl(const Curl&) = delete;
  Curl& operator=(const Curl&) = delete;
  ~Curl() {
    curl_easy_cleanup(handle);
    curl_global_cleanup();
  }
  template <class T>
  void set(CURLoption option, T value) const {
    curl_easy_setopt(handle, option, value);
  }
  CURL* handle = curl_easy_init();
};

Ended fetch(const std::string& address, std::uint64_t from, Sink& sink) {
  const Curl curl;
  if (curl.handle == nullptr) return {CURLE_FAILED_INIT, 0, false, "no memory"};
  char words[CURL_ERROR_SIZE] = "";
  curl.set(CURLOPT_URL, address.c_str());
  curl.set(CURLOPT_PROTOCOLS_STR, "http,https");
  curl.set(CURLOPT_REDIR_PROTOCOLS_STR, "http,https");
  curl.set(CURLOPT_FOLLOWLOCATION, 1L);
  curl.set(CURLOPT_MAXREDIRS, most_redirects);
  curl.set(CURLOPT_FAILONERROR, 1L);
  curl.set(CURLOPT_NOSIGNAL, 1L);
  curl.set(CURLOPT_CONNECTTIMEOUT, connect_s);
  curl.set(CURLOPT_LOW_SPEED_LIMIT, least_bytes_a_second);
  curl.set(CURLOPT_LOW_SPEED_TIME, stalled_s);
  curl.set(CURLOPT_USERAGENT, "noonfall");
  curl.set(CURLOPT_RESUME_FROM_LARGE, static_cast<curl_off_t>(from));
  curl.set(CURLOPT_ERRORBUFFER, words);
  curl.set(CURLOPT_WRITEFUNCTION, &take);
  curl.set(CURLOPT_WRITEDATA, &sink);
  Ended ended;
  ended.code = curl_easy_perform(curl.handle);
  curl_easy_getinfo(curl.handle, CURLINFO_RESPONSE_CODE, &ended.status);
  ended.too_much = sink.too_much;
  ended.words = words[0] != '\0' ? words : curl_easy_strerror(ended.code);
  return ended;
}

noonfall::Failure failed(const std::string& address, const std::string& why) {
  return fail(error_at({}, "download", fmt::format("can't download {}: {}", address, why)));
}

std::uint64_t size_of(const std::string& path) {
  std::error_code absent;
  const auto size = fs::file_size(path, absent);
  return absent ? 0 : size;
}

}  // namespace

Result<std::string> download_text(const std::string& address, std::size_t most_bytes) {
  std::string text;
  Sink sink{[&](std::string_view bytes) {
              text += bytes;
              return true;
            },
            most_bytes};
  const auto ended = fetch(address, 0, sink);
  if (ended.too_much) return failed(address, fmt::format("it has more than {} bytes", most_bytes));
  if (ended.code != CURLE_OK) return failed(address, ended.words);
  return text;
}

Result<void> download_file(const std::string& address, const std::string& path, std::uint64_t bytes,
                           const std::function<void(std::uint64_t)>& progress) {
  auto there = size_of(path);
  if (there > bytes) there = 0;
  for (bool again = there > 0; there < bytes; again = false) {
    std::ofstream file{path, std::ios::binary | (there > 0 ? std::ios::app : std::ios::trunc)};
    Sink sink{[&](std::string_view more) {
                file.write(more.data(), static_cast<std::streamsize>(more.size()));
                there += more.size();
                progress(there);
                return file.good();
              },
              bytes - there};
    const auto ended = fetch(address, there, sink);
    file.close();
    if (!file) return failed(address, "can't write " + path);
    std::error_code ignored;
    if (ended.too_much) {
      fs::remove(path, ignored);
      return failed(address, fmt::format("it has more than the {} bytes its label describes", bytes));
    }
    // A server that knows no ranges, or has another file by now: from the beginning.
    const bool no_range = ended.code == CURLE_RANGE_ERROR || ended.status == 416;
    if (no_range && again) {
      there = 0;
      continue;
    }
    if (ended.code != CURLE_OK && ended.code != CURLE_PARTIAL_FILE) return failed(address, ended.words);
    if (there < bytes) {
      return failed(address, fmt::format("it ended after {} of {} bytes; the same command goes on from there",
                                         there, bytes));
    }
  }
  return {};
}

}  // namespace noonfall::load
