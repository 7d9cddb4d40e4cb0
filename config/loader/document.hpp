// A TOML file as a plain tree. Every key and value keeps its place in the file.
// One reason to change: the notation of our files.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include <tl/expected.hpp>

#include "config/loader/errors.hpp"

namespace freshet::config {

struct Place {
    std::uint32_t line = 0, column = 0;
};

struct Member;

/// A value of a document. Its kind decides which fields have a meaning.
struct Node {
    enum class Kind : std::uint8_t { table, array, string, integer, real, boolean, instant, other };
    Kind kind = Kind::table;
    Place place;
    std::string string;
    std::int64_t integer = 0;  ///< for an instant: Unix milliseconds, UTC
    double real = 0;
    bool boolean = false;
    std::vector<Member> members;  ///< of a table, in the order of the file
    std::vector<Node> elements;   ///< of an array
};

struct Member {
    std::string key;
    Place place;
    Node value;
};

/// Reads TOML text; messages call it by `file`. A date-time without an offset is of the kind `other`, because
/// it names no instant. Errors: at most one, the first breach of TOML's own rules.
tl::expected<Node, Errors> parse_document(std::string_view text, const std::string& file);

/// A whole file as text. Errors: the file does not exist, is a folder, cannot be read, or is larger than 16
/// MiB.
tl::expected<std::string, Errors> read_text(const std::string& path);

/// The member of a table, or null.
const Node* find(const Node& table, std::string_view key);

/// The place of "pump.curve[2].head". When the file has no such value, the place of the nearest enclosing
/// value.
Place place_of(const Node& root, std::string_view path);

/// "a table", "a string" ... for messages.
std::string_view name_of(Node::Kind kind);

}  // namespace freshet::config
