// Turns the parser's events into our nodes, and refuses on the way what a strict document may not hold.
#pragma once

#include <optional>
#include <string>
#include <unordered_map>
#include <vector>

#include <yaml-cpp/eventhandler.h>

#include "lib/base/diagnostic.h"
#include "lib/yaml/node.h"
#include "lib/yaml/source_text.h"

namespace noonfall::yaml {

/// Thrown through the parser to end a reading that is beyond its bounds; the reason is in the findings.
struct ReadingEnded {};

class TreeBuilder final : public YAML::EventHandler {
 public:
  explicit TreeBuilder(const SourceText& source) : source_{source} {}

  void OnDocumentStart(const YAML::Mark& mark) override;
  void OnDocumentEnd() override {}
  void OnNull(const YAML::Mark& mark, YAML::anchor_t anchor) override;
  void OnAlias(const YAML::Mark& mark, YAML::anchor_t anchor) override;
  void OnScalar(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
                const std::string& value) override;
  void OnSequenceStart(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
                       YAML::EmitterStyle::value style) override;
  void OnSequenceEnd() override { close(); }
  void OnMapStart(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
                  YAML::EmitterStyle::value style) override;
  void OnMapEnd() override { close(); }
  void OnAnchor(const YAML::Mark& mark, const std::string& name) override;

  /// Where a text in quotes starts that never ends; yaml-cpp lets it run to the end of the file.
  [[nodiscard]] std::optional<Mark> unclosed_quote() const;
  /// Where the innermost list or mapping starts that is still being read; line 0 for none.
  [[nodiscard]] Mark innermost() const { return open_.empty() ? Mark{} : open_.back().node.mark; }

  [[nodiscard]] std::optional<Node>& root() { return root_; }
  [[nodiscard]] Diagnostics& findings() { return findings_; }

 private:
  /// A collection that is still being read.
  struct Open {
    Node node;
    std::optional<Entry> entry = {};  // its key is read, its value is next
    std::unordered_map<std::string, Mark> keys = {};
  };

  [[nodiscard]] Mark ours(const YAML::Mark& mark) const;
  [[nodiscard]] bool wants_key() const;
  void take(Node node);
  void take_key(const Node& node);
  void open(Node node);
  void close();
  void refuse_tag(const YAML::Mark& mark, const std::string& tag);
  void refuse_controls(Mark mark, const std::string& text);
  void refuse(Mark mark, std::string code, std::string message, std::string hint);

  const SourceText& source_;
  std::vector<Open> open_;
  std::optional<Node> root_;
  Diagnostics findings_;
  std::optional<BytePlace> last_scalar_;
  std::size_t nodes_ = 0;
  int documents_ = 0;
};

}  // namespace noonfall::yaml
