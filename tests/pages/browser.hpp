#pragma once

#include <string>

#include <nlohmann/json.hpp>

namespace strapline::pages {

/// Why pages cannot be opened here ("no Chromium at /usr/bin/chromium"); "" where they can.
[[nodiscard]] std::string no_browser_because();

/// Opens the page in headless Chromium at desktop and phone width and in dark colours, and returns
/// what open_page.cjs saw. Leaves NAME.html and its screenshots in the build's page_shots folder.
[[nodiscard]] nlohmann::json open_in_browser(const std::string& html, const std::string& name);

}  // namespace strapline::pages
