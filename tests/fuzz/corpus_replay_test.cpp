// Every stream of the corpus must keep the promises that the fuzzer checks, in the build of any compiler.
// One reason to change: where the corpus is.
#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <vector>

#include <gtest/gtest.h>

#include "tests/fuzz/mbap_parser_fuzz.hpp"

namespace freshet::fuzz {
namespace {

std::vector<std::uint8_t> bytes_of(const std::filesystem::path& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

TEST(CorpusReplay, keeps_every_promise_for_every_stream_and_every_cut_of_it) {
    const std::filesystem::path corpus =
        std::filesystem::path(FRESHET_SOURCE_DIR) / "tests/fuzz/corpus/mbap_parser";
    std::size_t files = 0;
    for (const auto& entry : std::filesystem::directory_iterator(corpus)) {
        const std::vector<std::uint8_t> bytes = bytes_of(entry.path());
        SCOPED_TRACE(entry.path().filename().string());
        ++files;
        for (std::size_t cut = 0; cut <= bytes.size(); ++cut) feed_stream(std::span(bytes).first(cut));
        for (std::size_t at = 0; at < bytes.size(); ++at) {
            std::vector<std::uint8_t> flipped = bytes;
            for (const int mask : {0x01, 0x80, 0xFF}) {
                flipped[at] = static_cast<std::uint8_t>(bytes[at] ^ mask);
                feed_stream(flipped);
            }
        }
    }
    EXPECT_GE(files, 20U) << "the corpus is not where it should be";
}

}  // namespace
}  // namespace freshet::fuzz
