#include "page_template.hpp"

#include <cmath>
#include <map>

#include "embedded_assets.hpp"

namespace strapline::pages {
namespace {

std::string replace_all(std::string text, std::string_view from, std::string_view to) {
  for (std::size_t at = 0; (at = text.find(from, at)) != std::string::npos; at += to.size()) {
    text.replace(at, from.size(), to);
  }
  return text;
}

/// Replaces each {{NAME}} once, from left to right: what is put in is never looked at again.
std::string substitute(std::string_view page, const std::map<std::string, std::string>& values) {
  std::string filled;
  while (true) {
    const std::size_t open = page.find("{{");
    const std::size_t close = open == page.npos ? page.npos : page.find("}}", open);
    if (close == page.npos) return filled.append(page);
    const auto value = values.find(std::string(page.substr(open + 2, close - open - 2)));
    filled.append(page.substr(0, open));
    if (value != values.end()) filled.append(value->second);
    page.remove_prefix(close + 2);
  }
}

std::string asset(std::string_view name) { return std::string(assets::text(name)); }

}  // namespace

std::string json_for_script(const nlohmann::json& data) {
  const std::string text = data.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
  return replace_all(text, "<", "\\u003c");
}

std::string escape_html(std::string_view text) {
  std::string escaped = replace_all(std::string(text), "&", "&amp;");
  escaped = replace_all(std::move(escaped), "<", "&lt;");
  escaped = replace_all(std::move(escaped), ">", "&gt;");
  return replace_all(std::move(escaped), "\"", "&quot;");
}

nlohmann::json plotted(double si, dsp::Unit unit) {
  const double shown = dsp::to_display({si, 0.0, unit}).value;
  if (!std::isfinite(shown)) return nullptr;
  return std::round(shown * 1000.0) / 1000.0;
}

std::string fill_template(std::string_view file, std::string_view script, std::string_view title,
                          const nlohmann::json& data) {
  return substitute(assets::text(file), {{"TITLE", escape_html(title)},
                                         {"PLOT_STYLE", asset("uPlot.min.css")},
                                         {"STYLE", asset("page.css")},
                                         {"PLOT_LICENCE", asset("LICENSE")},
                                         {"PLOT_SCRIPT", asset("uPlot.iife.min.js")},
                                         {"SHARED_SCRIPT", asset("parts.js") + asset("plots.js")},
                                         {"SCRIPT", asset(script)},
                                         {"DATA", json_for_script(data)}});
}

}  // namespace strapline::pages
