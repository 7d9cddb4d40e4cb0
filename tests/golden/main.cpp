// Compares this build's decisions and words with the kept decisions and words of earlier builds, or renews
// the kept files.
// One reason to change: the options of the comparison, or its output.
#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <exception>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "controller/record/journal_writer.hpp"
#include "controller/words/sentences.hpp"
#include "tests/golden/golden_file.hpp"
#include "tests/golden/recording.hpp"

namespace freshet::golden {

namespace {

constexpr std::uint64_t storms_kept = 200;
constexpr std::uint64_t storms_with_words = 20;
constexpr int finding = 1, bad_input = 2, failed = 3;

constexpr const char* usage =
    "usage: golden [--scenarios | --storms N | --all] [--renew codes | --renew words]\n"
    "  --scenarios      the shipped scenarios\n"
    "  --storms N       the first N of 200 random storms of an hour with faults\n"
    "  --all            both, and every storm (without options: both, and 20 storms)\n"
    "  --renew HALF     renews tests/golden/codes.txt or tests/golden/words.txt\n"
    "Exit code: 0 nothing differs, 1 something differs, 2 bad input, 3 failed.\n";

struct Wish {
    bool scenarios = true;
    std::uint64_t storms = storms_with_words;
    std::string renew;
    bool understood = true;
};

Wish wish_of(const std::vector<std::string_view>& words) {
    Wish wish;
    for (std::size_t i = 0; i < words.size(); ++i) {
        const bool has_next = i + 1 < words.size();
        if (words[i] == "--all") {
            wish.storms = storms_kept;
        } else if (words[i] == "--scenarios") {
            wish.storms = 0;
        } else if (words[i] == "--storms" && has_next) {
            wish.scenarios = false;
            wish.storms = std::strtoull(words[++i].data(), nullptr, 10);
        } else if (words[i] == "--renew" && has_next &&
                   (words[i + 1] == "codes" || words[i + 1] == "words")) {
            wish.renew = words[++i];
        } else {
            wish.understood = false;
        }
    }
    if (wish.storms > storms_kept) wish.understood = false;
    return wish;
}

std::filesystem::path file_of(Half half) {
    const std::filesystem::path folder = std::filesystem::path{FRESHET_SOURCE_DIR} / "tests/golden";
    return folder / (half == Half::codes ? "codes.txt" : "words.txt");
}

std::vector<Case> cases_of(bool scenarios, std::uint64_t storms) {
    std::vector<Case> cases;
    if (scenarios) cases = shipped_cases();
    for (std::uint64_t seed = 1; seed <= storms; ++seed) cases.push_back(storm_case(seed));
    return cases;
}

int renew(Half half) {
    const std::uint64_t storms = half == Half::codes ? storms_kept : storms_with_words;
    std::vector<Recording> recordings;
    for (const Case& one : cases_of(true, storms)) recordings.push_back(record(one));
    write_half(file_of(half), half, recordings);
    std::printf("%s renewed: %zu runs\n", file_of(half).c_str(), recordings.size());
    return 0;
}

/// Index of the first digest that differs; the shorter length where one run has more events.
std::size_t first_difference(const std::vector<std::uint16_t>& kept, const std::vector<std::uint16_t>& now) {
    const auto pair = std::mismatch(kept.begin(), kept.end(), now.begin(), now.end());
    return static_cast<std::size_t>(pair.first - kept.begin());
}

void print_events_from(const Case& which, std::size_t wanted) {
    constexpr std::size_t before = 2, after = 2;
    std::size_t index = 0;
    record(which, [&](const core::Advice& advice, const core::Event& event) {
        if (index + before >= wanted && index <= wanted + after) {
            std::string line;
            record::append_journal_line(line, advice.time_ms, event);
            std::printf("  %s %s\n      %s\n", index == wanted ? "now ->" : "      ", line.c_str(),
                        words::sentence(event).c_str());
        }
        ++index;
    });
    if (wanted >= index) std::printf("  now -> the run ends after these %zu events\n", index);
}

/// Prints the first difference of a run. True when there is a difference.
bool differs(const Case& which, const Recording& kept, const Recording* kept_words) {
    const Recording now = record(which);
    const bool codes_differ = now.events != kept.events;
    const bool advice_differs = now.advice != kept.advice || now.scans != kept.scans;
    const bool words_differ = kept_words != nullptr && now.words != kept_words->words;
    if (!codes_differ && !advice_differs && !words_differ) return false;
    std::printf("%s differs from the kept run:\n", which.name.c_str());
    if (advice_differs) {
        const auto pair = std::mismatch(kept.advice.begin(), kept.advice.end(), now.advice.begin());
        const double part_s = which.scenario.duration_s / static_cast<double>(parts);
        const auto part = static_cast<double>(pair.first - kept.advice.begin());
        std::printf("  the advice first differs between %.0f s and %.0f s after the start\n", part * part_s,
                    (part + 1) * part_s);
    }
    if (codes_differ) {
        const std::size_t first = first_difference(kept.events, now.events);
        std::printf("  event %zu is the first different event (%zu events kept, %zu events now)\n", first + 1,
                    kept.events.size(), now.events.size());
        print_events_from(which, first);
    } else if (words_differ) {
        const std::size_t first = first_difference(kept_words->words, now.words);
        std::printf("  event %zu is the first event with different words; its codes are the same\n",
                    first + 1);
        print_events_from(which, first);
    }
    return true;
}

int compare(const Wish& wish) {
    const auto codes = read_half(file_of(Half::codes), Half::codes);
    const auto words = read_half(file_of(Half::words), Half::words);
    std::size_t runs = 0, different = 0, events = 0;
    for (const Case& one : cases_of(wish.scenarios, wish.storms)) {
        ++runs;
        const auto kept = codes.find(one.name);
        const auto kept_words = words.find(one.name);
        if (kept == codes.end()) {
            std::printf("%s is not kept; renew the codes\n", one.name.c_str());
            ++different;
            continue;
        }
        events += kept->second.events.size();
        if (differs(one, kept->second, kept_words == words.end() ? nullptr : &kept_words->second))
            ++different;
    }
    std::printf("%zu runs with %zu events compared, %zu differ\n", runs, events, different);
    return different == 0 ? 0 : finding;
}

}  // namespace
}  // namespace freshet::golden

int main(int count, char** arguments) {
    using namespace freshet::golden;
    const Wish wish = wish_of({arguments + 1, arguments + count});
    if (!wish.understood) {
        std::fputs(usage, stderr);
        return bad_input;
    }
    try {
        if (wish.renew == "codes") return renew(Half::codes);
        if (wish.renew == "words") return renew(Half::words);
        return compare(wish);
    } catch (const std::exception& error) {
        std::fprintf(stderr, "golden: %s\n", error.what());
        return failed;
    }
}
