// Reads and writes the golden files; see the header.
//
// A run has one line with its name, its number of scans and the digests of its sixty parts, and one line with
// a digest for each event.
#include "tests/golden/golden_file.hpp"

#include <fmt/format.h>

#include <fstream>
#include <sstream>
#include <stdexcept>

namespace freshet::golden {

namespace {

constexpr const char* codes_head =
    "# What each run decided, as digests: the scans in sixty parts, then every event. Invented runs.\n"
    "# `bash tests/golden/golden.sh` compares, `bash tests/golden/golden.sh --renew codes` writes this "
    "file.\n";
constexpr const char* words_head =
    "# What each run said in its journal, as a digest for each event. Invented runs.\n"
    "# `bash tests/golden/golden.sh` compares, `bash tests/golden/golden.sh --renew words` writes this "
    "file.\n";
constexpr int hexadecimal = 16;

std::runtime_error unreadable(const std::filesystem::path& file, int line) {
    return std::runtime_error(file.string() + ":" + std::to_string(line) +
                              ": this line is not of a golden file; renew the file");
}

std::string joined(const std::vector<std::uint16_t>& digests) {
    std::string text;
    for (const std::uint16_t digest : digests) text += fmt::format(" {:04x}", digest);
    return text;
}

std::vector<std::uint16_t> split(std::istringstream& line) {
    std::vector<std::uint16_t> digests;
    for (std::string word; line >> word;)
        digests.push_back(static_cast<std::uint16_t>(std::stoul(word, nullptr, hexadecimal)));
    return digests;
}

}  // namespace

void write_half(const std::filesystem::path& file, Half half, const std::vector<Recording>& recordings) {
    std::ofstream out(file, std::ios::trunc);
    out << (half == Half::codes ? codes_head : words_head);
    for (const Recording& one : recordings) {
        out << "run " << one.name;
        if (half == Half::codes) {
            out << " " << one.scans;
            for (const std::uint32_t digest : one.advice) out << fmt::format(" {:08x}", digest);
        }
        out << "\nevents" << joined(half == Half::codes ? one.events : one.words) << "\n";
    }
    out.close();
    if (!out) throw std::runtime_error(file.string() + " cannot be written");
}

std::map<std::string, Recording> read_half(const std::filesystem::path& file, Half half) {
    std::ifstream in(file);
    if (!in) throw std::runtime_error(file.string() + " cannot be read");
    std::map<std::string, Recording> recordings;
    Recording one;
    int number = 0;
    for (std::string text; std::getline(in, text);) {
        ++number;
        if (text.empty() || text.front() == '#') continue;
        std::istringstream line(text);
        std::string what;
        line >> what;
        if (what == "run") {
            one = {};
            line >> one.name;
            if (half == Half::codes) {
                line >> one.scans >> std::hex;
                for (std::uint32_t& digest : one.advice) line >> digest;
            }
            if (!line) throw unreadable(file, number);
        } else if (what == "events" && !one.name.empty()) {
            (half == Half::codes ? one.events : one.words) = split(line);
            recordings[one.name] = one;
        } else {
            throw unreadable(file, number);
        }
    }
    return recordings;
}

}  // namespace freshet::golden
