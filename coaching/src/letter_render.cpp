#include <algorithm>
#include <set>
#include <vector>

#include <fmt/format.h>

#include "strapline/coaching/letter.hpp"

namespace strapline::coaching {
namespace {

struct Heading {
  LetterSection section;
  const char* key;
};

constexpr Heading kHeadings[] = {
    {LetterSection::asked, "letter.heading_asked"},
    {LetterSection::seen, "letter.heading_seen"},
    {LetterSection::changed, "letter.heading_changed"},
    {LetterSection::next, "letter.heading_next"},
    {LetterSection::cues, "letter.heading_cues"},
    {LetterSection::cautions, "letter.heading_cautions"},
};

/// How one format writes the parts of a document.
struct Style {
  std::string (*title)(const std::string&);
  std::string (*heading)(const std::string&);
  std::string (*item)(const std::string&);
  std::string (*list)(const std::string& items);
  std::string (*finding)(std::size_t number, const std::string&);
  std::string (*document)(const std::string& title, const std::string& body);
};

std::string underlined(const std::string& text, char with) {
  const auto characters =
      static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) {
        return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
      }));
  return text + "\n" + std::string(characters, with) + "\n";
}

std::string unchanged(const std::string& text) { return text; }

const Style kText = {
    [](const std::string& text) { return underlined(text, '='); },
    [](const std::string& text) { return "\n" + underlined(text, '-'); },
    [](const std::string& text) { return "- " + text + "\n"; },
    unchanged,
    [](std::size_t number, const std::string& text) {
      return fmt::format("[{}] {}\n", number, text);
    },
    [](const std::string&, const std::string& body) { return body; },
};

/// Characters that Markdown would take for its own.
std::string markdown_escaped(const std::string& text) {
  std::string out;
  for (const char c : text) {
    if (std::string_view("\\`*_[]<>#|").find(c) != std::string_view::npos) out += '\\';
    out += c;
  }
  return out;
}

const Style kMarkdown = {
    [](const std::string& text) { return "# " + markdown_escaped(text) + "\n"; },
    [](const std::string& text) { return "\n## " + markdown_escaped(text) + "\n\n"; },
    [](const std::string& text) { return "- " + markdown_escaped(text) + "\n"; },
    unchanged,
    [](std::size_t number, const std::string& text) {
      return fmt::format("{}. {}\n", number, markdown_escaped(text));
    },
    [](const std::string&, const std::string& body) { return body; },
};

std::string html_escaped(const std::string& text) {
  std::string out;
  for (const char c : text) {
    switch (c) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += "&quot;";
        break;
      default:
        out += c;
    }
  }
  return out;
}

const Style kHtml = {
    [](const std::string& text) { return "<h1>" + html_escaped(text) + "</h1>\n"; },
    [](const std::string& text) { return "<h2>" + html_escaped(text) + "</h2>\n"; },
    [](const std::string& text) { return "<li>" + html_escaped(text) + "</li>\n"; },
    [](const std::string& items) { return "<ul>\n" + items + "</ul>\n"; },
    [](std::size_t number, const std::string& text) {
      return fmt::format("<p id=\"finding-{}\">[{}] {}</p>\n", number, number, html_escaped(text));
    },
    [](const std::string& title, const std::string& body) {
      return fmt::format(
          "<!doctype html>\n<html>\n<head>\n<meta charset=\"utf-8\">\n"
          "<meta name=\"viewport\" content=\"width=device-width\">\n<title>{}</title>\n"
          "<style>body{{font:1rem/1.5 sans-serif;max-width:40rem;margin:2rem auto;padding:0 1rem}}"
          "h1{{font-size:1.4rem}}h2{{font-size:1.1rem}}</style>\n</head>\n<body>\n{}</body>\n"
          "</html>\n",
          html_escaped(title), body);
    },
};

const Style& style_of(LetterFormat format) {
  switch (format) {
    case LetterFormat::markdown:
      return kMarkdown;
    case LetterFormat::html:
      return kHtml;
    case LetterFormat::text:
      break;
  }
  return kText;
}

/// The findings of all sentences, each once, and the numbers of one sentence's.
class EvidenceList {
 public:
  std::string marks(const LetterSentence& sentence) {
    std::set<std::size_t> numbers;
    for (const std::string& finding : sentence.evidence) numbers.insert(number_of(finding));
    return fmt::format(" [{}]", fmt::join(numbers, ", "));
  }
  [[nodiscard]] const std::vector<std::string>& findings() const { return findings_; }

 private:
  std::size_t number_of(const std::string& finding) {
    const auto known = std::find(findings_.begin(), findings_.end(), finding);
    const auto number = static_cast<std::size_t>(known - findings_.begin()) + 1;
    if (known == findings_.end()) findings_.push_back(finding);
    return number;
  }

  std::vector<std::string> findings_;
};

}  // namespace

std::string render_letter(const Letter& letter, LetterFormat format, bool evidence,
                          const Phrases& phrases) {
  const Style& style = style_of(format);
  EvidenceList list;
  std::string body = style.title(letter.title);
  for (const Heading& heading : kHeadings) {
    std::string items;
    for (const LetterSentence& sentence : letter.sentences) {
      if (sentence.section != heading.section) continue;
      items += style.item(sentence.text + (evidence ? list.marks(sentence) : std::string()));
    }
    if (!items.empty()) body += style.heading(phrases.say(heading.key)) + style.list(items);
  }
  if (evidence) {
    body += style.heading(phrases.say("letter.heading_evidence"));
    std::size_t number = 0;
    for (const std::string& finding : list.findings()) body += style.finding(++number, finding);
  }
  return style.document(letter.title, body);
}

}  // namespace strapline::coaching
