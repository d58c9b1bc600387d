#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "judging_words.hpp"

namespace strapline::coaching::testing {
namespace {

namespace fs = std::filesystem;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;

std::string text_of(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

std::vector<fs::path> files_below(const std::string& folder,
                                  const std::vector<std::string>& kinds) {
  std::vector<fs::path> files;
  for (const auto& entry : fs::recursive_directory_iterator(fs::path(STRAPLINE_ROOT) / folder)) {
    const std::string kind = entry.path().extension().string();
    if (std::count(kinds.begin(), kinds.end(), kind) != 0) files.push_back(entry.path());
  }
  std::sort(files.begin(), files.end());
  return files;
}

/// verify compares this program with published errors: its words are about the program.
bool is_about_the_program(const fs::path& file) {
  const std::string name = file.string();
  return name.ends_with("cli/src/commands/verify.cpp") ||
         name.find("cli/src/reference/") != std::string::npos;
}

// The scanner must be able to find something.
TEST(WordingScan, ASentenceThatCallsARepWrongIsCaught) {
  EXPECT_THAT(judging_words("Rep 3 was WRONG: bad depth."), ElementsAre("wrong", "bad"));
  EXPECT_THAT(judging_words("Your poor form got worse."), ElementsAre("poor", "worse"));
  EXPECT_THAT(judging_words("done incorrectly, sloppy"), ElementsAre("incorrectly", "sloppy"));
  EXPECT_THAT(judging_words("a wrong_rep key"), ElementsAre("wrong"));
  EXPECT_THAT(judging_words("The badge lay outside; embadden"), IsEmpty());
}

TEST(WordingScan, LiteralsAreTakenOutOfASourceAndCommentsAreNot) {
  const std::string source = R"cpp(// a wrong comment
                                   const char* a = "bad rep"; /* wrong too */
                                   const char c = '"';
                                   const int n = 1'000;
                                   const char* b = R"(a faulty one)";
                                   const char* d = "say \"poor\" here";)cpp";
  EXPECT_THAT(judging_words(string_literals(source)), ElementsAre("bad", "faulty", "poor"));
  EXPECT_THAT(string_literals(source), Not(HasSubstr("comment")));
}

TEST(WordingScan, NoMessageInTheCodeJudgesARepOrAClient) {
  std::size_t literals = 0;
  for (const char* folder : {"coaching/src", "coaching/include", "cli/src", "cli/pages/src"}) {
    for (const fs::path& file : files_below(folder, {".cpp", ".hpp"})) {
      if (is_about_the_program(file)) continue;
      const std::string texts = string_literals(text_of(file));
      literals += static_cast<std::size_t>(std::count(texts.begin(), texts.end(), '\n'));
      EXPECT_THAT(judging_words(texts), IsEmpty()) << file;
    }
  }
  EXPECT_GT(literals, 1000U);  // it did read them
}

TEST(WordingScan, NoBuiltInDefinitionAndNoPageDoes) {
  std::size_t files = 0;
  for (const char* folder : {"coaching", "cli/pages/assets"}) {
    for (const fs::path& file : files_below(folder, {".toml", ".js", ".html"})) {
      ++files;
      EXPECT_THAT(judging_words(text_of(file)), IsEmpty()) << file;
    }
  }
  EXPECT_GT(files, 20U);
}

}  // namespace
}  // namespace strapline::coaching::testing
