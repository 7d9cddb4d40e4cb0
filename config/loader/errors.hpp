// What is wrong in a configuration file, and where.
// One reason to change: what a message about a file must say.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace freshet::config {

/// One error in a file. Line and column count from 1; both are 0 when the whole file is unreadable.
struct Error {
    std::string file;
    std::uint32_t line = 0, column = 0;
    std::string message;  ///< what is wrong; what is expected; nearest known key "x"
};

/// All errors that one reading of a file finds, in the order of their lines.
using Errors = std::vector<Error>;

/// `file:line:column: message`, or `file: message` when the error has no place.
std::string text_of(const Error& error);
/// Sorted by place, so that a person can correct the file from top to bottom.
Errors in_order(Errors errors);
/// One line per error, each ended by a line feed.
std::string text_of(const Errors& errors);

}  // namespace freshet::config
