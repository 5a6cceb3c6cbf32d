#include "lib/limb/pds_label.h"

#include <algorithm>

#include <fmt/format.h>

#include "lib/base/number.h"

namespace noonfall::limb {
namespace {

/// Thrown within this file alone, at the first thing that can't be read: what follows would be guesswork.
struct Unreadable {
  Diagnostic why;
};

char upper(char c) {
  return c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
}

std::string in_capitals(std::string_view text) {
  std::string out{text};
  std::transform(out.begin(), out.end(), out.begin(), upper);
  return out;
}

bool is_space(char c) {
  return c == ' ' || c == '\t' || c == '\r' || c == '\n';
}

bool is_word(char c) {
  const char u = upper(c);
  return (u >= 'A' && u <= 'Z') || (u >= '0' && u <= '9') || c == '_' || c == ':' || c == '.' || c == '-' ||
         c == '+' || c == '^' || c == '/' || c == '#';
}

class LabelReader {
 public:
  explicit LabelReader(std::string_view text) : text_(text) {}

  std::vector<LabelStatement> read() {
    for (;;) {
      skip_space();
      if (at_ == text_.size()) refuse(mark(), "the label ends without END");
      const auto where = mark();
      const auto keyword = word("a keyword");
      if (in_capitals(keyword) == "END") break;
      statement(keyword, where);
    }
    if (!objects_.empty()) refuse(mark(), fmt::format("OBJECT {} has no END_OBJECT", objects_.back()));
    return std::move(statements_);
  }

 private:
  [[noreturn]] static void refuse(Mark mark, std::string message) {
    throw Unreadable{error_at(mark, "pds-label", std::move(message),
                              "a PDS3 label, as it comes with the image: KEYWORD = value")};
  }

  [[nodiscard]] Mark mark() const { return {line_, static_cast<int>(at_ - line_start_) + 1}; }
  [[nodiscard]] char next() const { return at_ < text_.size() ? text_[at_] : '\0'; }

  void advance() {
    if (text_[at_] == '\n') {
      ++line_;
      line_start_ = at_ + 1;
    }
    ++at_;
  }

  void skip_space() {
    while (at_ < text_.size()) {
      if (is_space(text_[at_])) {
        advance();
      } else if (text_.substr(at_).starts_with("/*")) {
        const auto where = mark();
        (void)until("*/", where, "a comment");
      } else {
        return;
      }
    }
  }

  /// What stands before `end`, which is passed over.
  std::string_view until(std::string_view end, Mark where, std::string_view what) {
    const auto found = text_.find(end, at_);
    if (found == std::string_view::npos) refuse(where, fmt::format("{} without end", what));
    const auto inside = text_.substr(at_, found - at_);
    while (at_ < found + end.size()) advance();
    return inside;
  }

  std::string word(std::string_view wanted) {
    const auto from = at_;
    while (at_ < text_.size() && is_word(text_[at_]) && !text_.substr(at_).starts_with("/*")) advance();
    if (from != at_) return std::string{text_.substr(from, at_ - from)};
    refuse(mark(), at_ == text_.size() ? fmt::format("the label ends where {} is wanted", wanted)
                                       : fmt::format("no {} here", wanted.substr(2)));
  }

  void statement(const std::string& keyword, Mark where) {
    skip_space();
    const auto name = in_capitals(keyword);
    if (next() != '=' && name == "END_OBJECT") return close({}, where);
    if (next() != '=') refuse(mark(), fmt::format("no \"=\" behind {}", keyword));
    advance();
    skip_space();
    LabelStatement read{.object = objects_.empty() ? std::string{} : objects_.back(),
                        .keyword = keyword,
                        .value = {},
                        .unit = {},
                        .mark = mark()};
    read.value = value();
    read.unit = unit();
    if (name == "OBJECT") {
      objects_.push_back(in_capitals(read.value));
    } else if (name == "END_OBJECT") {
      close(in_capitals(read.value), read.mark);
    } else {
      statements_.push_back(std::move(read));
    }
  }

  void close(const std::string& name, Mark where) {
    if (objects_.empty()) refuse(where, "END_OBJECT without OBJECT");
    if (!name.empty() && name != objects_.back())
      refuse(where, fmt::format("END_OBJECT {} where {} is open", name, objects_.back()));
    objects_.pop_back();
  }

  std::string value() {
    const auto where = mark();
    const char first = next();
    if (first == '"' || first == '\'') {
      advance();
      return std::string{until(std::string_view{first == '"' ? "\"" : "'"}, where, "a quoted text")};
    }
    if (first == '(' || first == '{') {
      advance();
      return std::string{trim(until(std::string_view{first == '(' ? ")" : "}"}, where, "a list"))};
    }
    return word("a value");
  }

  std::string unit() {
    while (next() == ' ' || next() == '\t') advance();
    if (next() != '<') return {};
    const auto where = mark();
    advance();
    return in_capitals(trim(until(">", where, "a unit")));
  }

  std::string_view text_;
  std::size_t at_ = 0;
  std::size_t line_start_ = 0;
  int line_ = 1;
  std::vector<std::string> objects_;
  std::vector<LabelStatement> statements_;
};

}  // namespace

Result<std::vector<LabelStatement>> parse_pds_label(std::string_view text) {
  try {
    return LabelReader{text}.read();
  } catch (const Unreadable& unreadable) {
    return fail(unreadable.why);
  }
}

}  // namespace noonfall::limb
