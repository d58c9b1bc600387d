#include "judging_words.hpp"

#include <algorithm>
#include <cctype>
#include <regex>

namespace strapline::coaching::testing {
namespace {

const std::regex& judging() {
  static const std::regex words(
      R"(\b(wrong\w*|bad|badly|worse|worst|incorrect\w*|poor|poorly|poorer|faulty|sloppy|sloppily|)"
      R"(improper\w*|ugly|lousy|terrible|terribly|awful\w*|cheat\w*|lazy|weak|weakness|failed rep|)"
      R"(bad form|good form|correct form|proper form|perfect form)\b)");
  return words;
}

/// Position behind the literal whose quote is at `from`; its text is appended.
std::size_t take_literal(std::string_view source, std::size_t from, std::string& out) {
  std::size_t at = from + 1;
  while (at < source.size() && source[at] != '"') {
    if (source[at] == '\\' && at + 1 < source.size()) {
      out += ' ';  // an escape ends a word
      at += 2;
    } else {
      out += source[at++];
    }
  }
  out += '\n';
  return at + 1;
}

std::size_t take_raw_literal(std::string_view source, std::size_t quote, std::string& out) {
  const std::size_t open = source.find('(', quote);
  const std::string close = ")" + std::string(source.substr(quote + 1, open - quote - 1)) + "\"";
  const std::size_t end = source.find(close, open);
  if (open == source.npos || end == source.npos) return source.size();
  out.append(source.substr(open + 1, end - open - 1));
  out += '\n';
  return end + close.size();
}

std::size_t behind(std::string_view source, std::string_view what, std::size_t from) {
  const std::size_t at = source.find(what, from);
  return at == source.npos ? source.size() : at + what.size();
}

/// 'x' and '\''; a digit separator (1'000) stands behind a digit and opens nothing.
std::size_t behind_character(std::string_view source, std::size_t at) {
  if (at > 0 && std::isalnum(static_cast<unsigned char>(source[at - 1])) != 0) return at + 1;
  const std::size_t first = at + (source.substr(at + 1, 1) == "\\" ? 3 : 2);
  return behind(source, "'", first);
}

}  // namespace

std::vector<std::string> judging_words(std::string_view text) {
  std::string small(text);
  std::transform(small.begin(), small.end(), small.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  std::replace(small.begin(), small.end(), '_', ' ');
  std::vector<std::string> found;
  for (std::sregex_iterator at(small.begin(), small.end(), judging()), end; at != end; ++at) {
    found.push_back(at->str());
  }
  return found;
}

std::string string_literals(std::string_view source) {
  std::string out;
  for (std::size_t at = 0; at < source.size();) {
    const std::string_view rest = source.substr(at);
    if (rest.starts_with("//")) {
      at = behind(source, "\n", at);
    } else if (rest.starts_with("/*")) {
      at = behind(source, "*/", at);
    } else if (rest.starts_with("R\"")) {
      at = take_raw_literal(source, at + 1, out);
    } else if (rest.front() == '"') {
      at = take_literal(source, at, out);
    } else if (rest.front() == '\'') {
      at = behind_character(source, at);
    } else {
      ++at;
    }
  }
  return out;
}

}  // namespace strapline::coaching::testing
