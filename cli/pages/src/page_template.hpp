#pragma once

#include <string>
#include <string_view>

#include <nlohmann/json.hpp>

#include "strapline/dsp/measure.hpp"

namespace strapline::pages {

/// Fills the embedded template `file` ("review.html"): its own `script` ("review.js"), the shared
/// style and scripts, uPlot with its licence, the title, and the data as one JSON block.
[[nodiscard]] std::string fill_template(std::string_view file, std::string_view script,
                                        std::string_view title, const nlohmann::json& data);

/// JSON for the inside of a script element: no "<" is left in it, so that no text of a user ends
/// the element or opens a comment; invalid UTF-8 is replaced.
[[nodiscard]] std::string json_for_script(const nlohmann::json& data);

/// &, <, > and quotes as entities.
[[nodiscard]] std::string escape_html(std::string_view text);

/// An SI number as a plot shows it (display unit, three decimals); null where it is not finite.
[[nodiscard]] nlohmann::json plotted(double si, dsp::Unit unit);

}  // namespace strapline::pages
