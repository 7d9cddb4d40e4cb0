// The cautions that Freshet shows in every place where people read its advice: reports, pages, documents,
// answers of the commands and their help. One reason to change: a danger that a reader must know.
#pragma once

#include <array>
#include <string_view>

namespace freshet::words {

/// The cautions in one line, for places without room for more.
inline constexpr std::string_view caution_line =
    "Advisory only, never a permission to operate. Follow local codes, the equipment's own instructions and "
    "a "
    "licensed engineer.";

inline constexpr std::array<std::string_view, 5> cautions{
    "Medium-voltage equipment kills. Nothing here replaces isolation, proving dead, earthing and a permit to "
    "work.",
    "Freshet is a reference and a trainer. It is not a protection function and not a safety function.",
    "Its advice is never a permission to operate. It reads measurements and never writes to field equipment.",
    "Interlocks, protection relays and emergency stops stay in the equipment and act without Freshet.",
    "Follow local codes, the equipment's own instructions and a licensed engineer.",
};

}  // namespace freshet::words
