// Turns text into HTML and XML.
// One reason to change: a character that browsers take as markup.
#pragma once

#include <string>
#include <string_view>

namespace freshet::report {

/// Returns a text that is safe as the content of an element and in a quoted attribute.
inline std::string escaped(std::string_view text) {
    std::string out;
    out.reserve(text.size());
    for (const char letter : text) {
        switch (letter) {
            case '&':
                out += "&amp;";
                break;
            case '<':
                out += "&lt;";
                break;
            case '>':
                out += "&gt;";
                break;
            case '"':
                out += "&quot;";
                break;
            case '\'':
                out += "&#39;";
                break;
            default:
                out += letter;
        }
    }
    return out;
}

}  // namespace freshet::report
