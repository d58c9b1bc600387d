# Run by strapline_embed_text with STEM, NAMESPACE and FILES (separated by |).
string(REPLACE "|" ";" files "${FILES}")
get_filename_component(header ${STEM}.hpp NAME)

file(WRITE ${STEM}.hpp "#pragma once
#include <string_view>
#include <vector>
namespace ${NAMESPACE} {
std::string_view text(std::string_view file_name);
const std::vector<std::string_view>& file_names();
}
")

# A file's content is appended as it is: it never passes through a list or a configure step, so
# that brackets, semicolons and backslashes stay what they are.
file(WRITE ${STEM}.cpp "#include \"${header}\"\nnamespace ${NAMESPACE} {\nnamespace {\n")
set(names "")
set(branches "")
set(index 0)
foreach(path IN LISTS files)
  get_filename_component(file_name ${path} NAME)
  file(READ ${path} content)
  file(APPEND ${STEM}.cpp "constexpr std::string_view kText${index} = R\"EMBEDDED(")
  file(APPEND ${STEM}.cpp "${content}")
  file(APPEND ${STEM}.cpp ")EMBEDDED\";\n")
  string(APPEND names "\"${file_name}\", ")
  string(APPEND branches "  if (file_name == \"${file_name}\") return kText${index};\n")
  math(EXPR index "${index} + 1")
endforeach()
file(APPEND ${STEM}.cpp "}  // namespace
std::string_view text(std::string_view file_name) {
${branches}  return {};
}
const std::vector<std::string_view>& file_names() {
  static const std::vector<std::string_view> names{${names}};
  return names;
}
}
")
