#include "text_file.hpp"

#include <cerrno>
#include <cstring>
#include <fstream>
#include <sstream>
#include <system_error>

namespace strapline::cli {

dsp::Result<std::string> read_text(const std::filesystem::path& path) {
  std::error_code error;
  std::ifstream in(path, std::ios::binary);
  if (!in || !std::filesystem::is_regular_file(path, error)) {
    return dsp::fail("no such file", path.string(), "check the name");
  }
  std::ostringstream content;
  content << in.rdbuf();
  if (in.bad()) return dsp::fail("the file cannot be read", path.string());
  return content.str();
}

dsp::Result<void> write_text(const std::filesystem::path& path, const std::string& text) {
  std::filesystem::path part = path;
  part += ".part";
  std::ofstream out(part, std::ios::binary | std::ios::trunc);
  if (!out) {
    return dsp::fail(std::string("cannot create the file (") + std::strerror(errno) + ")",
                     path.string(), "check the folder");
  }
  out << text;
  out.close();
  std::error_code error;
  if (out) std::filesystem::rename(part, path, error);
  if (out && !error) return {};
  const std::string reason = out ? error.message() : std::strerror(errno);
  std::filesystem::remove(part, error);
  return dsp::fail("cannot write the file (" + reason + ")", path.string(),
                   "check the name, and that the disk has room");
}

dsp::Result<void> write_page(const std::filesystem::path& path, const std::string& html) {
  if (path.extension() != ".html") {
    return dsp::fail("a page's name must end in .html", path.string(), "give another name");
  }
  return write_text(path, html);
}

}  // namespace strapline::cli
