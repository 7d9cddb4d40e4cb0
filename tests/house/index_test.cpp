// The index of DEVELOPERS.md leads to where each rule is: every place that it names exists, and each of the ten
// questions of a pump engineer is answered within two files, but for one. One reason to change: the form of the
// index.
#include <gtest/gtest.h>

#include <algorithm>
#include <regex>
#include <set>
#include <string>
#include <vector>

#include "tests/house/tree.hpp"

namespace freshet::house {
namespace {

struct Place {
    std::string file, name;
};
struct Answer {
    std::string question;
    std::vector<Place> places;
};

const SourceFile& developers() {
    static const SourceFile file = [] {
        for (const SourceFile& one : files_in(""))
            if (one.path == "DEVELOPERS.md") return one;
        return SourceFile{};
    }();
    return file;
}

std::vector<Answer> answers() {
    const std::string& text = developers().text;
    const std::size_t begin = text.find("## Where a rule is");
    const std::string index = text.substr(begin, text.find("\n## ", begin + 1) - begin);
    const std::regex question(R"(\n\d+\. \*([^*]+)\*((?:.|\n)*?)(?=\n\d+\. |\n\n|$))");
    const std::regex place(R"(`([a-z_/]+\.[ch]pp): ([^`]+)`)");
    std::vector<Answer> all;
    for (auto q = std::sregex_iterator(index.begin(), index.end(), question); q != std::sregex_iterator();
         ++q) {
        Answer answer{(*q)[1].str(), {}};
        const std::string body = (*q)[2].str();
        for (auto p = std::sregex_iterator(body.begin(), body.end(), place); p != std::sregex_iterator(); ++p)
            answer.places.push_back({(*p)[1].str(), (*p)[2].str()});
        all.push_back(answer);
    }
    return all;
}

TEST(Index, answers_ten_questions_of_a_pump_engineer) {
    EXPECT_EQ(answers().size(), 10U);
    for (const Answer& answer : answers()) EXPECT_FALSE(answer.places.empty()) << answer.question;
}

TEST(Index, names_places_that_exist) {
    const std::vector<SourceFile> core = files_in("controller/core");
    for (const Answer& answer : answers()) {
        for (const Place& place : answer.places) {
            const auto file =
                std::ranges::find_if(core, [&](const SourceFile& one) { return one.path == place.file; });
            ASSERT_NE(file, core.end()) << answer.question << ": " << place.file << " does not exist";
            EXPECT_NE(code_of(file->text).find(place.name), std::string::npos)
                << answer.question << ": " << place.file << " has no " << place.name;
        }
    }
}

TEST(Index, answers_nine_of_ten_questions_within_two_files) {
    std::size_t within_two = 0;
    for (const Answer& answer : answers()) {
        std::set<std::string> files;
        for (const Place& place : answer.places) files.insert(place.file);
        within_two += files.size() <= 2 ? 1 : 0;
    }
    EXPECT_GE(within_two, 9U);
}

}  // namespace
}  // namespace freshet::house
