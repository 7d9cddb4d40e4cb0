// What is wrong in a configuration file, and where.
// One reason to change: what a message about a file must say.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace freshet::config {

/// One fault of a file. Line and column count from 1; 0 where the file could not be read at all.
struct Error {
    std::string file;
    std::uint32_t line = 0, column = 0;
    std::string message;  ///< what is wrong, what was expected; nearest known key "x"
};

/// All faults of a file that could be found in one reading, in the order of their lines.
using Errors = std::vector<Error>;

/// `file:line:column: message`, or `file: message` where there is no place.
std::string text_of(const Error& error);
/// By place, so that a file can be mended from top to bottom.
Errors in_order(Errors errors);
/// One line per error, each ended by a line feed.
std::string text_of(const Errors& errors);

}  // namespace freshet::config
