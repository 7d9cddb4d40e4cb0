// The house: the names at the top level, and the rooms that each room may include.
// One reason to change: a room that comes or goes, or a library that moves in.
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "tests/house/tree.hpp"

namespace freshet::house {
namespace {

/// A room: a folder whose files stand directly in the folder, and the rooms that its files may include.
struct Room {
    std::string_view folder;
    std::vector<std::string_view> may_include;
};

/// The rooms from the core outwards. A room may include rooms above its own row only, so that no circle can
/// arise; a test holds the table to that.
const std::vector<Room>& rooms() {
    static const std::vector<Room> all{
        {"controller/core", {}},
        {"controller/words", {"controller/core"}},
        {"config", {}},
        {"config/numerics", {}},
        {"config/hydraulics", {"config", "config/numerics"}},
        {"config/electrics", {"config", "config/numerics"}},
        {"config/engineering", {"config", "config/electrics", "config/hydraulics", "controller/core"}},
        {"config/loader", {"config", "config/engineering", "controller/core", "controller/words"}},
        {"hal/store", {"controller/core", "controller/words"}},
        {"hal/clock", {}},
        {"hal/service", {"config/loader", "controller/words"}},
        {"hal/modbus", {"config", "controller/core", "controller/words"}},
        {"controller/record", {"controller/core", "controller/words", "hal/store"}},
        {"controller/report", {"controller/core", "controller/words", "controller/record"}},
        {"controller/process",
         {"config/loader", "controller/core", "controller/words", "controller/record", "controller/report",
          "hal/clock", "hal/modbus", "hal/service", "hal/store"}},
        {"sim_plant/physics", {"config", "config/electrics", "config/hydraulics", "config/numerics"}},
        {"sim_plant/sensors", {"config", "sim_plant/physics"}},
        {"sim_plant/weather", {"config", "sim_plant/physics"}},
        {"sim_plant/station", {"config", "sim_plant/physics", "sim_plant/sensors", "sim_plant/weather"}},
        {"sim_plant/bench",
         {"config", "config/loader", "controller/core", "controller/words", "controller/record", "hal/modbus",
          "sim_plant/physics", "sim_plant/sensors", "sim_plant/station"}},
        {"sim_plant/studies",
         {"config/electrics", "config/engineering", "config/hydraulics", "config/loader", "controller/core",
          "controller/words", "controller/record", "controller/report", "sim_plant/physics",
          "sim_plant/weather"}},
        {"sim_plant/command",
         {"config", "config/loader", "controller/words", "controller/record", "controller/report",
          "hal/modbus", "hal/service", "sim_plant/bench", "sim_plant/physics", "sim_plant/studies",
          "sim_plant/weather"}},
        {"sim_plant/process",
         {"config", "config/loader", "controller/words", "controller/record", "controller/report",
          "hal/clock", "hal/modbus", "hal/service", "sim_plant/bench", "sim_plant/station"}},
    };
    return all;
}

/// The folder of "config/loader/load.hpp": "config/loader".
std::string_view folder_of(std::string_view path) {
    return path.substr(0, path.rfind('/') == std::string_view::npos ? 0 : path.rfind('/'));
}

/// Null where no room has that folder.
const Room* room_of(std::string_view folder) {
    const auto found = std::find_if(rooms().begin(), rooms().end(),
                                    [folder](const Room& room) { return room.folder == folder; });
    return found == rooms().end() ? nullptr : &*found;
}

/// A library's headers and the folders whose files may include them. Tests may use any as an independent
/// judge.
struct Library {
    std::string_view header;
    std::vector<std::string_view> homes;
};

const std::vector<Library>& libraries() {
    static const std::vector<Library> all{
        {"<toml++", {"config/"}},
        {"<udunits2", {"config/"}},
        {"<modbus", {"hal/modbus/"}},
        {"<boost/", {"hal/", "config/numerics/maximum.cpp", "config/numerics/root.cpp"}},
        {"<Eigen/", {"sim_plant/physics/nameplate.cpp"}},
        {"<sqlite3", {"hal/store/"}},
        {"<spdlog", {"controller/process/", "sim_plant/process/", "hal/service/"}},
        {"<CLI/", {"hal/service/", "controller/process/", "sim_plant/process/", "sim_plant/command/"}},
        {"<nlohmann/",
         {"controller/record/", "controller/report/", "hal/http/", "sim_plant/command/",
          "controller/process/", "sim_plant/process/"}},
        {"<fmt/",
         {"config/", "hal/", "controller/report/", "controller/process/", "sim_plant/studies/",
          "sim_plant/command/", "sim_plant/process/"}},
        {"<tl/", {"config/", "hal/", "controller/record/", "controller/process/", "sim_plant/"}},
        {"<gtest", {}},
        {"<gmock", {}},
        {"<benchmark", {}},
    };
    return all;
}

/// Too slow to parse to stand in a header that others include.
constexpr std::array<std::string_view, 8> heavy{"<toml++", "<CLI/",   "<nlohmann/", "<spdlog",
                                                "<boost/", "<modbus", "<fmt/",      "<Eigen/"};

/// Headers of the C++ standard library that a pure scan can need. No streams, files, threads, clocks,
/// locales, random numbers or allocating containers. Of <cstring> binaries_test allows memory moves alone.
const std::set<std::string, std::less<>> core_standard{
    "<algorithm>",   "<array>",   "<bit>",         "<bitset>",  "<cmath>",    "<compare>",
    "<concepts>",    "<cstddef>", "<cstdint>",     "<cstdlib>", "<cstring>",  "<initializer_list>",
    "<iterator>",    "<limits>",  "<numbers>",     "<numeric>", "<optional>", "<span>",
    "<string_view>", "<tuple>",   "<type_traits>", "<utility>"};

bool begins_with_any(std::string_view text, const std::vector<std::string_view>& beginnings) {
    return std::any_of(beginnings.begin(), beginnings.end(),
                       [text](std::string_view beginning) { return text.starts_with(beginning); });
}

TEST(House, has_exactly_the_visible_top_level_that_it_is_described_with) {
    const std::vector<std::string> expected{"CMakeLists.txt", "DEVELOPERS.md", "LICENSE", "README.md",
                                            "config",         "controller",    "hal",     "sim_plant",
                                            "tests"};
    EXPECT_EQ(top_level(), expected);
}

TEST(House, knows_every_room_that_has_code) {
    for (const SourceFile& file : files_in("")) {
        if (!is_cpp(file.path) || file.path.starts_with("tests/")) continue;
        EXPECT_NE(room_of(folder_of(file.path)), nullptr) << file.path << " is in no room of the table";
    }
}

TEST(House, has_no_circle_of_rooms_because_each_may_include_rooms_above_its_own_row_only) {
    std::set<std::string_view> above;
    for (const Room& room : rooms()) {
        for (const std::string_view other : room.may_include)
            EXPECT_TRUE(above.contains(other))
                << room.folder << " may include " << other << ", which is not above";
        EXPECT_TRUE(above.insert(room.folder).second) << room.folder << " has two rows";
    }
}

TEST(House, lets_a_room_include_only_itself_and_the_rooms_that_its_row_names) {
    std::size_t includes = 0;
    for (const SourceFile& file : files_in("")) {
        const Room* room = room_of(folder_of(file.path));
        if (!is_cpp(file.path) || room == nullptr) continue;
        for (const std::string& include : includes_of(file.text)) {
            if (include.front() != '"') continue;
            ++includes;
            const std::string_view other = folder_of(std::string_view(include).substr(1));
            EXPECT_TRUE(other == room->folder || std::ranges::count(room->may_include, other) != 0)
                << file.path << " includes " << include;
        }
    }
    EXPECT_GT(includes, 100U) << "the include lines were not found at all";
}

TEST(House, lets_the_core_include_nothing_but_itself_and_the_pure_part_of_the_standard_library) {
    for (const SourceFile& file : files_in("controller/core")) {
        for (const std::string& include : includes_of(file.text)) {
            if (include.front() != '<') continue;
            EXPECT_TRUE(core_standard.contains(include)) << file.path << " includes " << include;
        }
    }
}

TEST(House, keeps_each_library_in_its_rooms) {
    for (const SourceFile& file : files_in("")) {
        if (!is_cpp(file.path) || file.path.starts_with("tests/")) continue;
        for (const std::string& include : includes_of(file.text)) {
            for (const Library& library : libraries()) {
                if (!include.starts_with(library.header)) continue;
                EXPECT_TRUE(begins_with_any(file.path, library.homes))
                    << file.path << " includes " << include;
            }
        }
    }
}

TEST(House, keeps_heavy_headers_out_of_headers) {
    for (const SourceFile& file : files_in("")) {
        if (!file.path.ends_with(".hpp") || file.path.starts_with("tests/")) continue;
        for (const std::string& include : includes_of(file.text)) {
            for (const std::string_view header : heavy) {
                EXPECT_FALSE(include.starts_with(header)) << file.path << " includes " << include;
            }
        }
    }
}

TEST(House, lets_no_product_include_a_test) {
    for (const SourceFile& file : files_in("")) {
        if (!is_cpp(file.path) || file.path.starts_with("tests/")) continue;
        for (const std::string& include : includes_of(file.text)) {
            EXPECT_FALSE(include.starts_with("\"tests/")) << file.path << " includes " << include;
        }
    }
}

}  // namespace
}  // namespace freshet::house
