#include "daemon/command_line/plain_output.h"

#include <ostream>
#include <streambuf>
#include <string>

#include "lib/base/plain_text.h"

namespace noonfall::command_line {

class PlainOutput::Lines : public std::streambuf {
 public:
  explicit Lines(std::streambuf& behind) : behind_{behind} {}
  [[nodiscard]] std::streambuf* behind() const { return &behind_; }

 protected:
  int_type overflow(int_type c) override {
    if (traits_type::eq_int_type(c, traits_type::eof())) return traits_type::not_eof(c);
    const auto one = traits_type::to_char_type(c);
    return xsputn(&one, 1) == 1 ? c : traits_type::eof();
  }

  std::streamsize xsputn(const char* text, std::streamsize size) override {
    std::string_view rest{text, static_cast<std::size_t>(size)};
    for (auto end = rest.find('\n'); end != std::string_view::npos; end = rest.find('\n')) {
      line_ += rest.substr(0, end);
      if (!put_line() || behind_.sputc('\n') == traits_type::eof()) return 0;
      rest.remove_prefix(end + 1);
    }
    line_ += rest;
    return size;
  }

  int sync() override { return put_line() && behind_.pubsync() == 0 ? 0 : -1; }

 private:
  bool put_line() {
    const auto shown = plain_line(line_);
    line_.clear();
    const auto size = static_cast<std::streamsize>(shown.size());
    return behind_.sputn(shown.data(), size) == size;
  }

  std::streambuf& behind_;
  std::string line_;
};

PlainOutput::PlainOutput(std::ostream& stream)
    : stream_{stream}, lines_{std::make_unique<Lines>(*stream.rdbuf())} {
  stream_.rdbuf(lines_.get());
}

PlainOutput::~PlainOutput() {
  lines_->pubsync();
  const auto state = stream_.rdstate();
  stream_.rdbuf(lines_->behind());  // clears the state
  stream_.setstate(state);
}

}  // namespace noonfall::command_line
