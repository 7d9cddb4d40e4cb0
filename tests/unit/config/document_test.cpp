// What the loader says of a text that is not TOML, and what a file leaves to engineering.
// One reason to change: a sentence of the TOML library that we word ourselves.
#include <gtest/gtest.h>

#include <string>
#include <string_view>

#include "config/engineering/derive_settings.hpp"
#include "config/loader/load.hpp"
#include "tests/unit/config/spoiled_file.hpp"

namespace freshet::config {
namespace {

TEST(BrokenToml, says_what_a_value_may_be_where_the_value_is_no_toml) {
    const auto said = [](std::string_view text) {
        const auto read = read_station_file(text, "station.toml", test::units());
        return read ? std::string() : text_of(read.error());
    };
    EXPECT_EQ(
        said("a = yes\n"),
        "station.toml:1:5: this is no TOML value; expected a text in quotes such as \"60 s\", a number, "
        "true, false, or a list in brackets\n");
    EXPECT_EQ(
        said("a = \n"),
        "station.toml:1:5: a value is missing here; expected a text in quotes such as \"60 s\", a number, "
        "true, false, or a list in brackets\n");
    EXPECT_EQ(
        said("a = 60 s\n"),
        "station.toml:1:8: the value of the key has ended before this place; expected the next line or a "
        "comment. A value with a unit needs quotes, such as \"60 s\"\n");
}

TEST(DriveWait, where_the_file_does_not_say_lasts_15_s_longer_than_the_restart_lock) {
    Drive drive;
    drive.restart_lock_s = 30;
    EXPECT_EQ(usual_drive_wait_ms(drive), 45'000);
}

}  // namespace
}  // namespace freshet::config
