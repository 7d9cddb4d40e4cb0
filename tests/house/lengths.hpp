// How long the functions of a source text are.
// One reason to change: what counts as a function, or as its first and last line.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace freshet::house {

struct FunctionLength {
    std::string name;            ///< the word before the parameters; a macro's name for a test
    std::size_t first_line = 0;  ///< of the signature, counted from 1
    std::size_t lines = 0;       ///< from there to the closing brace
};

/// Every function with a body outside other functions, in order. A lambda counts with the function around the
/// lambda, and by itself where a variable at namespace or class level holds the lambda. Tables are no
/// functions. Braces decide, so the text must compile.
std::vector<FunctionLength> functions_of(std::string_view text);

/// Lines of a text; a last line without its line end counts.
std::size_t lines_of(std::string_view text);

}  // namespace freshet::house
