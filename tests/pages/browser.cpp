#include "browser.hpp"

#include <array>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>

namespace strapline::pages {
namespace {

constexpr const char* kChromium = "/usr/bin/chromium";

std::string quoted(const std::string& text) { return "'" + text + "'"; }

std::string output_of(const std::string& command) {
  FILE* pipe = popen(command.c_str(), "r");
  if (pipe == nullptr) return {};
  std::string output;
  std::array<char, 4096> block{};
  for (std::size_t n = 0; (n = std::fread(block.data(), 1, block.size(), pipe)) > 0;) {
    output.append(block.data(), n);
  }
  return pclose(pipe) == 0 ? output : std::string();
}

}  // namespace

std::string no_browser_because() {
  if (!std::filesystem::exists(kChromium)) return std::string("no Chromium at ") + kChromium;
  if (output_of("node --version 2>/dev/null").empty()) return "no node";
  if (!std::filesystem::exists(STRAPLINE_PAGES_NPM "/node_modules/playwright-core")) {
    return "no playwright-core in " STRAPLINE_PAGES_NPM;
  }
  return {};
}

nlohmann::json open_in_browser(const std::string& html, const std::string& name) {
  const std::filesystem::path folder = STRAPLINE_PAGE_SHOTS;
  std::filesystem::create_directories(folder);
  const std::string stem = (folder / name).string();
  std::ofstream(stem + ".html", std::ios::binary) << html;
  const std::string output =
      output_of("node " + quoted(STRAPLINE_OPEN_PAGE) + " " + quoted(STRAPLINE_PAGES_NPM) + " " +
                quoted(kChromium) + " " + quoted(stem + ".html") + " " + quoted(stem));
  return nlohmann::json::parse(output, nullptr, false);
}

}  // namespace strapline::pages
