// The printed form of an error.
// One reason to change: the form of a message's place.
#include "config/loader/errors.hpp"

#include <algorithm>

namespace freshet::config {

std::string text_of(const Error& error) {
    std::string text = error.file;
    if (error.line != 0)
        text.append(":").append(std::to_string(error.line)).append(":").append(std::to_string(error.column));
    return text.append(": ").append(error.message);
}

Errors in_order(Errors errors) {
    std::ranges::stable_sort(errors, [](const Error& a, const Error& b) {
        return a.line != b.line ? a.line < b.line : a.column < b.column;
    });
    return errors;
}

std::string text_of(const Errors& errors) {
    std::string text;
    for (const Error& error : errors) text.append(text_of(error)).append("\n");
    return text;
}

}  // namespace freshet::config
