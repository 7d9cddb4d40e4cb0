// Turns the tree of toml++ into our own tree, so that no other file compiles the headers of toml++.
// One reason to change: the TOML library.
#include "config/loader/document.hpp"

#include <sys/stat.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <chrono>
#include <cstdio>
#include <memory>

namespace freshet::config {
namespace {
/// toml++ 3.3 asserts on some texts that are not TOML ("[ } ]") instead of refusing them. A failed assertion
/// must not end the program. This file throws instead of asserting, and refuses the text.
struct ParserGaveUp {};
[[noreturn]] void give_up() {
    throw ParserGaveUp();
}
}  // namespace
}  // namespace freshet::config
#undef NDEBUG
#define TOML_ASSERT(condition) static_cast<void>((condition) || (::freshet::config::give_up(), false))
#define TOML_HEADER_ONLY 1
#define TOML_EXCEPTIONS 0
#define TOML_ENABLE_FORMATTERS 0
#include <toml++/toml.h>

namespace freshet::config {
namespace {

constexpr std::size_t file_size_max = std::size_t{16} << 20U;

Place place_of(const toml::source_position& position) {
    return {position.line, position.column};
}

std::int64_t unix_ms(const toml::date_time& instant) {
    using namespace std::chrono;
    const sys_days date = year(instant.date.year) / instant.date.month / instant.date.day;
    const sys_time<milliseconds> time = date + hours(instant.time.hour) + minutes(instant.time.minute) -
                                        minutes(instant.offset->minutes) + seconds(instant.time.second) +
                                        floor<milliseconds>(nanoseconds(instant.time.nanosecond));
    return time.time_since_epoch().count();
}

Node node_of(const toml::node& source) {
    Node node;
    node.place = place_of(source.source().begin);
    if (const auto* table = source.as_table()) {
        for (const auto& [key, value] : *table)
            node.members.push_back({std::string(key.str()), place_of(key.source().begin), node_of(value)});
        // toml++ keeps keys sorted by name; people read messages in the order of the file.
        std::ranges::stable_sort(node.members, [](const Member& a, const Member& b) {
            return a.place.line != b.place.line ? a.place.line < b.place.line
                                                : a.place.column < b.place.column;
        });
    } else if (const auto* array = source.as_array()) {
        node.kind = Node::Kind::array;
        for (const auto& element : *array) node.elements.push_back(node_of(element));
    } else if (const auto* string = source.as_string()) {
        node.kind = Node::Kind::string;
        node.string = string->get();
    } else if (const auto* integer = source.as_integer()) {
        node.kind = Node::Kind::integer;
        node.integer = integer->get();
        node.real = static_cast<double>(integer->get());
    } else if (const auto* real = source.as_floating_point()) {
        node.kind = Node::Kind::real;
        node.real = real->get();
    } else if (const auto* boolean = source.as_boolean()) {
        node.kind = Node::Kind::boolean;
        node.boolean = boolean->get();
    } else if (const auto* instant = source.as_date_time(); instant != nullptr && instant->get().offset) {
        node.kind = Node::Kind::instant;
        node.integer = unix_ms(instant->get());
    } else {
        node.kind = Node::Kind::other;
    }
    return node;
}

}  // namespace

namespace {

bool gives_up(std::string_view text) {
    try {
        static_cast<void>(toml::parse(text));
        return false;
    } catch (const ParserGaveUp&) {
        return true;
    }
}

/// The place where the parser gave up: the last byte of the shortest beginning of the text that stops the
/// parser.
Place place_of_giving_up(std::string_view text) {
    std::size_t good = 0, bad = text.size();
    while (bad - good > 1) {
        const std::size_t middle = good + (bad - good) / 2;
        (gives_up(text.substr(0, middle)) ? bad : good) = middle;
    }
    const std::string_view before = text.substr(0, good);
    const auto line_begin = before.rfind('\n') + 1;  // npos + 1 is zero
    return {static_cast<std::uint32_t>(std::ranges::count(before, '\n') + 1),
            static_cast<std::uint32_t>(good - line_begin + 1)};
}

/// The library's sentence in our words, where the library does not say what a station file needs.
std::string in_our_words(std::string_view sentence) {
    struct Words {
        std::string_view library, ours;
    };
    constexpr std::string_view a_value =
        "expected a text in quotes such as \"60 s\", a number, true, false, or a list in brackets";
    constexpr std::array words{
        Words{"utf-8", "this is not UTF-8; expected text in UTF-8"},
        Words{"could not determine value type", "this is no TOML value; "},
        Words{"expected value, saw", "a value is missing here; "},
        Words{
            "key-value pair: expected a comment or whitespace",
            "the value of the key has ended before this place; expected the next line or a comment. A value "
            "with a unit needs quotes, such as \"60 s\""},
    };
    for (const Words& one : words)
        if (sentence.find(one.library) != std::string_view::npos)
            return std::string(one.ours) + std::string(one.ours.ends_with("; ") ? a_value : "");
    return std::string(sentence);
}

}  // namespace

tl::expected<Node, Errors> parse_document(std::string_view text, const std::string& file) {
    try {
        const toml::parse_result result = toml::parse(text);
        if (result) return node_of(result.table());
        const Place place = place_of(result.error().source().begin);
        return tl::unexpected(
            Errors{{file, place.line, place.column, in_our_words(result.error().description())}});
    } catch (const ParserGaveUp&) {
        const Place place = place_of_giving_up(text);
        return tl::unexpected(Errors{{file, place.line, place.column,
                                      "this is not TOML; expected a key, a value or the end of a list"}});
    }
}

tl::expected<std::string, Errors> read_text(const std::string& path) {
    const auto failed = [&](const char* message) { return tl::unexpected(Errors{{path, 0, 0, message}}); };
    const std::unique_ptr<std::FILE, int (*)(std::FILE*)> file(std::fopen(path.c_str(), "rb"), &std::fclose);
    if (!file) return failed("cannot be opened; expected the path of a readable file");
    struct stat status {};
    if (fstat(fileno(file.get()), &status) != 0 || S_ISDIR(status.st_mode))
        return failed("is a folder; expected the path of a readable file");
    std::string text;
    std::array<char, 65536> part{};
    for (std::size_t count = 0; (count = std::fread(part.data(), 1, part.size(), file.get())) > 0;) {
        text.append(part.data(), count);
        if (text.size() > file_size_max) return failed("is larger than 16 MiB; expected a smaller file");
    }
    if (std::ferror(file.get()) != 0) return failed("cannot be read to its end");
    return text;
}

const Node* find(const Node& table, std::string_view key) {
    const auto member = std::ranges::find(table.members, key, &Member::key);
    return member == table.members.end() ? nullptr : &member->value;
}

Place place_of(const Node& root, std::string_view path) {
    const Node* node = &root;
    while (!path.empty()) {
        const Node* next = nullptr;
        if (path.front() == '[') {
            std::size_t index = 0;
            const auto end = path.find(']');
            std::from_chars(path.data() + 1, path.data() + std::min(end, path.size()), index);
            if (index < node->elements.size()) next = &node->elements[index];
            path.remove_prefix(end == std::string_view::npos ? path.size() : end + 1);
        } else {
            const auto end = std::min(path.find_first_of(".["), path.size());
            next = find(*node, path.substr(0, end));
            path.remove_prefix(end);
        }
        if (!path.empty() && path.front() == '.') path.remove_prefix(1);
        if (next == nullptr) break;
        node = next;
    }
    // The document as a whole has no place; its first line serves.
    return {std::max(node->place.line, 1U), std::max(node->place.column, 1U)};
}

std::string_view name_of(Node::Kind kind) {
    switch (kind) {
        case Node::Kind::table:
            return "a table";
        case Node::Kind::array:
            return "an array";
        case Node::Kind::string:
            return "a string";
        case Node::Kind::integer:
            return "a whole number";
        case Node::Kind::real:
            return "a number";
        case Node::Kind::boolean:
            return "true or false";
        case Node::Kind::instant:
            return "a date and time";
        case Node::Kind::other:
            break;
    }
    return "a local date or time";
}

}  // namespace freshet::config
