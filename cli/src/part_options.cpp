#include "part_options.hpp"

#include <charconv>

namespace strapline::cli {
namespace {

std::optional<dsp::Interval> parse_part(const std::string& option, const std::string& text) {
  if (text.empty()) return std::nullopt;
  dsp::Interval part;
  const char* end = text.data() + text.size();
  const auto from = std::from_chars(text.data(), end, part.from_s);
  const bool parted = from.ec == std::errc() && from.ptr != end && *from.ptr == ':';
  if (parted) {
    const auto to = std::from_chars(from.ptr + 1, end, part.to_s);
    if (to.ec == std::errc() && to.ptr == end) return part;
  }
  throw CLI::ValidationError(option, "\"" + text + "\" is not FROM:TO in seconds, e.g. 0:3.5");
}

}  // namespace

void add_part_options(CLI::App& command, PartOptions& options, const std::string& since) {
  const auto add = [&](const char* name, std::string& part, const char* what) {
    command.add_option(name, part, what + (", " + since))->type_name("FROM:TO");
  };
  add("--still", options.still, "Standing still before the set");
  add("--align", options.align, "The easy bends that show the axes");
  add("--set", options.set, "The set itself");
  add("--still-after", options.still_after, "Standing still after the set");
}

dsp::RecordingParts parse_parts(const PartOptions& options) {
  return {parse_part("--still", options.still), parse_part("--align", options.align),
          parse_part("--set", options.set), parse_part("--still-after", options.still_after)};
}

}  // namespace strapline::cli
