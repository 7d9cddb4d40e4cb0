// The source tree as the house test reads it: files by room, their code without comments and strings.
// One reason to change: how files are found and read.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace freshet::house {

struct SourceFile {
    std::string path;  ///< from the root of the repository, with '/'
    std::string text;
};

/// Every file of ours below `room` (a folder of the repository, "" for all), without what git ignores.
std::vector<SourceFile> files_in(std::string_view room);

/// Names at the top level, without dot files and without what git ignores.
std::vector<std::string> top_level();

/// The text with comments and the contents of literals blanked, line ends kept.
std::string code_of(std::string_view text);

/// What `#include` lines name, with their quotes or brackets: "\"config/station.hpp\"", "<array>".
std::vector<std::string> includes_of(std::string_view text);

inline bool is_cpp(std::string_view path) {
    return path.ends_with(".cpp") || path.ends_with(".hpp");
}

}  // namespace freshet::house
