// Plain English: archaic and compressed phrases that no comment, message, test name or document may contain.
// One reason to change: a phrase that the house bans, or a room that is not judged yet.
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "tests/house/tree.hpp"

namespace freshet::house {
namespace {

/// `banned` is a phrase of words or marks; '|' parts the alternatives for one place of the phrase.
struct Phrase {
    std::string_view banned;
    std::string_view instead;        ///< for the message of a failure
    std::string_view unless_next{};  ///< a word after the phrase that makes the phrase good English
};

constexpr std::array phrases{
    Phrase{"to be had", "available"},
    Phrase{"anew", "again, from the start, with a new ..."},
    Phrase{"nought|naught", "zero"},
    Phrase{"run|runs on .|,|;|:", "keeps running"},
    Phrase{"run|runs runs", "keeps running"},
    Phrase{"read otherwise", "read with another value"},
    Phrase{"that|which|it|such is|are none", "is not a ..."},
    Phrase{"told", "reported, shown, given, named; distinguished"},
    Phrase{"tell|tells of|what|which|whether|how|apart", "reports, shows, says; distinguishes"},
    Phrase{"asked for", "requested, given, ordered"},
    Phrase{"ask|asks for", "needs, requests, wants"},
    Phrase{"is|are|was|were|be asked", "name who asks, and whom"},
    Phrase{"for good", "permanently"},
    Phrase{"go|goes by", "uses, follows, depends on"},
    Phrase{"whoever|whomever", "name the person or the program"},
    Phrase{"shall", "must, will"},
    Phrase{"till", "until"},
    Phrase{"looked at", "checked, read, judged"},
    Phrase{"let|lets go", "opens, releases, ends"},
    Phrase{"stood", "was, stopped"},
    Phrase{"stands", "is, stops, applies", "for"},
    Phrase{"beside|besides", "next to, in addition to, compared with"},
    Phrase{"reckon|reckons|reckoned|reckoning", "calculates, estimates"},
    Phrase{"that|which|what|it|' is|are no "
           "number|order|amount|speed|text|instant|time|address|error|file|journal|name|option|word|fault|"
           "failure",
           "is not a ..."},
    Phrase{"thereof|therein|whereof|wherein", "of this, in this"},
    Phrase{"thereby|whereby|hence|thus", "by this, therefore, so"},
    Phrase{"lest|ere|ought|albeit", "so that ... not, before, should, although"},
    Phrase{"come|comes|came of it|a|the", "is the result of"},
    Phrase{"of one mind", "equal, in agreement"},
    Phrase{"happening|happenings", "event"},
    Phrase{"bus met", "the drive's bus joined to the line"},
    Phrase{"broke|breaks its word", "lost data that it had confirmed"},
};

/// The licence is not our text, and this file has to name the phrases.
bool is_judged(std::string_view path) {
    return path != "LICENSE" && path != "tests/house/english_test.cpp";
}

/// Copies the names of tests from `code` to `prose`, with blanks for '_'.
void show_test_names(std::string_view code, std::string& prose) {
    for (const std::string_view opening : {"TEST(", "TEST_F(", "TEST_P(", "def test_"}) {
        for (std::size_t at = code.find(opening); at != code.npos; at = code.find(opening, at)) {
            at += opening.size();
            const std::size_t end = std::min(code.find_first_of("()", at), code.size());
            for (; at < end; ++at) prose[at] = code[at] == '_' ? ' ' : code[at];
        }
    }
}

/// The text that people read, at its place in the file, in small letters. Of a C++ file these are comments,
/// literals and test names, of another file everything. Comment marks, quotes and line ends become blanks, so
/// that a phrase across two lines is found.
std::string prose_of(const SourceFile& file) {
    std::string prose = file.text;
    const bool is_program = is_cpp(file.path);
    const std::string code = is_program ? code_of(file.text) : file.text;
    for (std::size_t i = 0; i < prose.size(); ++i) {
        if (is_program && code[i] != ' ') prose[i] = ' ';
        if (std::string_view("/\"#<*\n\t").find(prose[i]) != std::string_view::npos) prose[i] = ' ';
        if (prose[i] == '\\' && i + 1 < prose.size() && prose[i + 1] == 'n') prose[i] = prose[i + 1] = ' ';
    }
    show_test_names(code, prose);
    for (char& letter : prose)
        if (letter >= 'A' && letter <= 'Z') letter = static_cast<char>(letter - 'A' + 'a');
    return prose;
}

/// The words and the single marks of `prose`, as views into it.
std::vector<std::string_view> tokens_of(std::string_view prose) {
    const auto in_word = [](char letter) {
        return std::isalnum(static_cast<unsigned char>(letter)) != 0 || letter == '_' || letter == '-';
    };
    std::vector<std::string_view> tokens;
    for (std::size_t end = 0; end < prose.size();) {
        const std::size_t begin = end++;
        if (prose[begin] == ' ') continue;
        if (in_word(prose[begin]))
            while (end < prose.size() && in_word(prose[end])) ++end;
        tokens.push_back(prose.substr(begin, end - begin));
    }
    return tokens;
}

std::vector<std::string_view> parts_of(std::string_view text, char between) {
    std::vector<std::string_view> parts;
    for (std::size_t begin = 0; begin <= text.size();) {
        const std::size_t end = std::min(text.find(between, begin), text.size());
        parts.push_back(text.substr(begin, end - begin));
        begin = end + 1;
    }
    return parts;
}

/// A phrase as the alternatives for each of its places.
struct Pattern {
    const Phrase* phrase;
    std::vector<std::vector<std::string_view>> places;
};

/// Patterns by the first word of a phrase, so that each token needs one search.
using Patterns = std::unordered_multimap<std::string_view, Pattern>;

const Patterns& patterns() {
    static const Patterns all = [] {
        Patterns made;
        for (const Phrase& phrase : phrases) {
            Pattern pattern{&phrase, {}};
            for (const std::string_view place : parts_of(phrase.banned, ' '))
                pattern.places.push_back(parts_of(place, '|'));
            for (const std::string_view first : pattern.places.front()) made.emplace(first, pattern);
        }
        return made;
    }();
    return all;
}

bool matches(const Pattern& pattern, const std::vector<std::string_view>& tokens, std::size_t first) {
    const std::size_t next = first + pattern.places.size();
    if (next > tokens.size()) return false;
    for (std::size_t i = 0; i < pattern.places.size(); ++i) {
        if (std::ranges::count(pattern.places[i], tokens[first + i]) == 0) return false;
    }
    return next == tokens.size() || tokens[next] != pattern.phrase->unless_next;
}

/// "file:line: phrase; write instead: ..." for each banned phrase.
std::vector<std::string> banned_in(const SourceFile& file) {
    const std::string prose = prose_of(file);
    const std::vector<std::string_view> tokens = tokens_of(prose);
    std::vector<std::string> found;
    for (std::size_t first = 0; first < tokens.size(); ++first) {
        const auto [begin, end] = patterns().equal_range(tokens[first]);
        for (auto entry = begin; entry != end; ++entry) {
            const Pattern& pattern = entry->second;
            if (!matches(pattern, tokens, first)) continue;
            const auto line = 1 + std::count(file.text.data(),
                                             file.text.data() + (tokens[first].data() - prose.data()), '\n');
            std::string words;
            for (std::size_t i = 0; i < pattern.places.size(); ++i)
                words.append(i == 0 ? "" : " ").append(tokens[first + i]);
            found.push_back(file.path + ":" + std::to_string(line) + ": \"" + words +
                            "\"; write instead: " + std::string(pattern.phrase->instead));
        }
    }
    return found;
}

TEST(English, has_no_archaic_or_compressed_phrase) {
    std::string found;
    for (const SourceFile& file : files_in("")) {
        if (!is_judged(file.path)) continue;
        for (const std::string& place : banned_in(file)) found += place + "\n";
    }
    EXPECT_EQ(found, "");
}

TEST(English, is_judged_in_comments_literals_test_names_and_documents) {
    EXPECT_EQ(banned_in({"a.cpp", "// begins anew\n"}).size(), 1U);
    EXPECT_EQ(banned_in({"a.cpp", "f(\"nobody was told\\n\");\n"}).size(), 1U);
    EXPECT_EQ(banned_in({"a.cpp", "TEST(Pump, starts_anew) {}\n"}).size(), 1U);
    EXPECT_EQ(banned_in({"a.py", "def test_that_starts_anew(self):\n"}).size(), 1U);
    EXPECT_EQ(banned_in({"a.csv", "# begins anew\n1,2\n"}).size(), 1U);
    EXPECT_EQ(banned_in({"a.md", "The delay begins Anew.\n"}).size(), 1U);
}

TEST(English, is_judged_across_the_end_of_a_line) {
    EXPECT_EQ(banned_in({"a.cpp", "    /// a drive that is to\n    /// be had\n"}).size(), 1U);
    EXPECT_EQ(banned_in({"a.cpp", "f(\"a pump that is to \"\n  \"be had\");\n"}).size(), 1U);
}

TEST(English, is_not_judged_in_the_names_of_a_program_or_in_a_part_of_a_word) {
    EXPECT_TRUE(banned_in({"a.cpp", "bool told = is_told(beside);\n"}).empty());
    EXPECT_TRUE(banned_in({"a.cpp", "// a threshold, a stand-by, `told_events`\n"}).empty());
    EXPECT_TRUE(banned_in({"a.cpp", "// X stands for a step\n"}).empty());
}

TEST(English, names_file_line_and_what_to_write_instead) {
    EXPECT_EQ(
        banned_in({"a.cpp", "\n\n// begins anew\n"}),
        std::vector<std::string>{"a.cpp:3: \"anew\"; write instead: again, from the start, with a new ..."});
}

}  // namespace
}  // namespace freshet::house
