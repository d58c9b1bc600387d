#include "definition_file.hpp"

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <sstream>

namespace strapline::coaching {
namespace {

constexpr std::string_view kSuffix = ".toml";

dsp::Result<DefinitionText> file_text(const std::string& kind, const std::string& path) {
  std::error_code error;
  std::ifstream file(path, std::ios::binary);
  if (!file || !std::filesystem::is_regular_file(path, error)) {
    return dsp::fail("no such " + kind + " file", path, "check the path");
  }
  std::ostringstream content;
  content << file.rdbuf();
  if (file.bad()) return dsp::fail("the " + kind + " file cannot be read", path);
  return DefinitionText{content.str(), path};
}

}  // namespace

std::vector<std::string> built_in_names(const std::vector<std::string_view>& file_names) {
  std::vector<std::string> names;
  for (const std::string_view file : file_names) {
    names.emplace_back(file.substr(0, file.size() - kSuffix.size()));
  }
  std::sort(names.begin(), names.end());
  return names;
}

dsp::Result<DefinitionText> definition_text(const BuiltInTexts& built_in,
                                            const std::string& name_or_path) {
  if (name_or_path.ends_with(kSuffix)) return file_text(built_in.kind, name_or_path);
  const std::string file_name = name_or_path + std::string(kSuffix);
  const std::string_view toml = built_in.text(file_name);
  if (!toml.empty()) return DefinitionText{std::string(toml), file_name};
  std::string known;
  for (const std::string& name : built_in_names(built_in.file_names)) {
    known += (known.empty() ? "" : ", ") + name;
  }
  return dsp::fail("no " + built_in.kind + " '" + name_or_path + "'", "",
                   "use one of " + known + ", or the path of a .toml file");
}

}  // namespace strapline::coaching
