// Lines from a pipe: complete, too long, cut off, and an endless flood.
#include <fcntl.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <array>
#include <string>
#include <vector>

#include "hal/service/order_lines.hpp"

namespace freshet::service {
namespace {

std::array<int, 2> new_pipe() {
    std::array<int, 2> ends{-1, -1};
    EXPECT_EQ(::pipe2(ends.data(), O_CLOEXEC), 0);
    return ends;
}

/// A pipe, and the lines from its end.
struct Written {
    std::array<int, 2> ends = new_pipe();
    OrderLines lines{ends[0]};

    Written() = default;
    Written(const Written&) = delete;
    Written& operator=(const Written&) = delete;
    ~Written() {
        close_writer();
        ::close(ends[0]);
    }
    void write(const std::string& text) const {
        ASSERT_EQ(::write(ends[1], text.data(), text.size()), static_cast<ssize_t>(text.size()));
    }
    void close_writer() {
        if (ends[1] >= 0) ::close(ends[1]);
        ends[1] = -1;
    }
    /// The texts of all complete lines; "!" for a refused line.
    std::vector<std::string> all() {
        std::vector<std::string> texts;
        while (const auto line = lines.next()) texts.push_back(line->refused.empty() ? line->text : "!");
        return texts;
    }
};

using Lines = std::vector<std::string>;

TEST(OrderLines, come_when_they_are_whole) {
    Written written;
    EXPECT_EQ(written.all(), Lines{});
    written.write("list\nacknow");
    EXPECT_EQ(written.all(), Lines{"list"});
    written.write("ledge all\n\n");
    EXPECT_EQ(written.all(), (Lines{"acknowledge all", ""}));
}

TEST(OrderLines, that_are_too_long_are_refused_as_a_whole_and_their_tail_is_not_an_order) {
    Written written;
    // The tail comes alone, after the begin of the line was refused.
    written.write(std::string(4 * order_length_max, 'x'));
    EXPECT_EQ(written.all(), Lines{});
    written.write("acknowledge all\nlist\n");
    EXPECT_EQ(written.all(), (Lines{"!", "list"}));
}

TEST(OrderLines, may_be_as_long_as_the_limit_and_no_longer) {
    const std::string longest(order_length_max, 'x');
    Written written;
    written.write(longest + "\n" + longest + "x\nlist\n");
    EXPECT_EQ(written.all(), (Lines{longest, "!", "list"}));
}

TEST(OrderLines, that_the_end_of_the_input_cut_off_are_refused_once) {
    Written written;
    written.write("list\nshelve supply 4");
    written.close_writer();
    EXPECT_EQ(written.lines.next()->text, "list");
    const auto cut = written.lines.next();
    ASSERT_TRUE(cut);
    EXPECT_NE(cut->refused.find("'shelve supply 4' was cut off"), std::string::npos) << cut->refused;
    EXPECT_FALSE(written.lines.next());
}

TEST(OrderLines, that_are_too_long_and_cut_off_are_called_too_long) {
    Written written;
    written.write(std::string(order_length_max + 1, 'x'));
    EXPECT_EQ(written.all(), Lines{});
    written.write("acknowledge all");
    written.close_writer();
    const auto cut = written.lines.next();
    ASSERT_TRUE(cut);
    EXPECT_NE(cut->refused.find("a line of more than 200 characters"), std::string::npos) << cut->refused;
    EXPECT_FALSE(written.lines.next());
}

TEST(OrderLines, of_an_endless_flood_delay_nobody) {
    const int flood = ::open("/dev/zero", O_RDONLY | O_CLOEXEC);
    ASSERT_GE(flood, 0);
    OrderLines lines(flood);
    // The test shows that the call returns.
    EXPECT_FALSE(lines.next());
    EXPECT_FALSE(lines.next());
    ::close(flood);
}

TEST(WordsOf, a_line_are_between_blanks) {
    using Words = std::vector<std::string_view>;
    EXPECT_EQ(words_of(" shelve\tsupply  30\r"), (Words{"shelve", "supply", "30"}));
    EXPECT_EQ(words_of(" \t"), Words{});
}

}  // namespace
}  // namespace freshet::service
