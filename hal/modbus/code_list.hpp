// A list of codes as text, "0 off, 1 starting, ...", made from a table of controller/words while compiling.
// One reason to change: how a printed document lists the codes of an enumeration.
#pragma once

#include <algorithm>
#include <array>
#include <cstddef>
#include <string_view>

namespace freshet::modbus {

/// A text that a template can take as an argument.
template <std::size_t Size>
struct Literal {
    std::array<char, Size> letters{};

    // The text converts automatically, so that a list can be written with its words before and after it.
    consteval Literal(const char (&text)[Size]) { std::copy_n(text, Size, letters.begin()); }
    constexpr std::string_view view() const { return {letters.data(), Size - 1}; }
};

/// How a list spells a code: by the name in the journal, by this name with blanks for underscores, or by the
/// text for people.
enum class Spelling : unsigned char { name, spaced_name, text };

/// Collects letters. Without a buffer it only counts the letters.
struct LetterSink {
    char* out = nullptr;
    std::size_t count = 0;

    constexpr void add(char letter) {
        if (out != nullptr) out[count] = letter;
        ++count;
    }
    constexpr void add(std::string_view text) {
        for (const char letter : text) add(letter);
    }
    constexpr void add_number(std::size_t number) {
        if (number >= 10) add_number(number / 10);
        add(static_cast<char>('0' + number % 10));
    }
};

template <class Table>
constexpr void add_codes(LetterSink& sink, const Table& words, Spelling spelling) {
    for (const auto& word : words) {
        const auto code = static_cast<std::size_t>(word.code);
        if (code != 0) sink.add(", ");
        sink.add_number(code);
        sink.add(' ');
        for (const char letter : spelling == Spelling::text ? word.text : word.name)
            sink.add(letter == '_' && spelling == Spelling::spaced_name ? ' ' : letter);
    }
}

template <Literal before, const auto& words, Spelling spelling, Literal after>
inline constexpr auto code_list_letters = [] {
    constexpr auto write = [](LetterSink& sink) {
        sink.add(before.view());
        add_codes(sink, words, spelling);
        sink.add(after.view());
    };
    constexpr std::size_t size = [write] {
        LetterSink counter;
        write(counter);
        return counter.count;
    }();
    std::array<char, size> letters{};
    LetterSink sink{.out = letters.data()};
    write(sink);
    return letters;
}();

/// The codes of a words table with a text before and after them. The list includes a new code automatically.
template <Literal before, const auto& words, Spelling spelling = Spelling::spaced_name, Literal after = "">
inline constexpr std::string_view code_list{code_list_letters<before, words, spelling, after>.data(),
                                            code_list_letters<before, words, spelling, after>.size()};

}  // namespace freshet::modbus
