// The finding that several checks share; see the header.
// One reason to change: how the length of a list is refused.
#include "config/engineering/findings.hpp"

#include <fmt/format.h>

namespace freshet::config {

void check_count(Findings& findings, std::string path, std::string_view key, std::size_t count,
                 std::size_t least, std::size_t most) {
    if (count < least || count > most)
        refuse(findings, std::move(path),
               fmt::format("{} has {} point{}; expected {} to {}", key, count, count == 1 ? "" : "s", least,
                           most));
}

}  // namespace freshet::config
