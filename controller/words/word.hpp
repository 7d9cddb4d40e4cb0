// A word: a stable name for records and a text for people, for each value of an enum of the core.
// One reason to change: how codes and words are joined.
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string_view>

namespace freshet::words {

/// `name` is stable, snake_case and the same as the enumerator; records and maps use it. `text` is for
/// people.
template <class Code>
struct Word {
    Code code;
    std::string_view name;
    std::string_view text;
};

/// True when the table has an entry for each code, in the enum's order, without blanks.
template <class Entry, std::size_t Size>
consteval bool complete(const std::array<Entry, Size>& table, std::size_t codes) {
    if (Size != codes) return false;
    for (std::size_t i = 0; i < Size; ++i) {
        if (static_cast<std::size_t>(table[i].code) != i || table[i].name.empty() || table[i].text.empty())
            return false;
        for (std::size_t j = 0; j < i; ++j) {
            if (table[i].name == table[j].name) return false;
        }
    }
    return true;
}

/// The entry of a code. A code beyond the table (a corrupt record) gives the first entry.
template <class Entry, std::size_t Size, class Code>
constexpr const Entry& entry_of(const std::array<Entry, Size>& table, Code code) {
    const auto index = static_cast<std::size_t>(code);
    return table[index < Size ? index : 0];
}

/// The code of a name in a table; nothing when the table does not have the name.
template <class Entry, std::size_t Size>
constexpr auto code_of(const std::array<Entry, Size>& table, std::string_view name)
    -> std::optional<decltype(Entry::code)> {
    for (const Entry& entry : table) {
        if (entry.name == name) return entry.code;
    }
    return std::nullopt;
}

}  // namespace freshet::words
