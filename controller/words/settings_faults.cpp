// A fault of settings as people read it; see the header.
#include "controller/words/settings_faults.hpp"

#include <cmath>

#include "controller/words/sentences.hpp"

namespace freshet::words {

namespace {

/// A whole number in all its digits: "7.2e+08 ms" is hard to read.
void append_readable(std::string& out, double value) {
    constexpr double digits_most = 1e15;
    if (std::abs(value) < digits_most && std::floor(value) == value)
        out += std::to_string(static_cast<std::int64_t>(value));
    else
        append_number(out, value);
}

}  // namespace

std::string clause(const core::SettingsFinding& finding) {
    constexpr std::string_view index = "{index}", value = "{value}";
    std::string text(word(finding.fault).text);
    if (const std::size_t at = text.find(index); at != std::string::npos)
        text.replace(at, index.size(), std::to_string(finding.index + 1));
    if (const std::size_t at = text.find(value); at != std::string::npos) {
        if (std::isfinite(finding.value)) {
            std::string number;
            append_readable(number, finding.value);
            text.replace(at, value.size(), number);
        } else {
            // A value that is not finite has no unit.
            text.replace(at, text.find(';', at) - at, "not a finite number");
        }
    }
    return text;
}

}  // namespace freshet::words
