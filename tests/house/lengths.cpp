// Follows the braces of a text whose comments and literals are blanked, and judges each opening brace by the
// text before it, its head.
#include "tests/house/lengths.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <cstdint>
#include <regex>

#include "tests/house/tree.hpp"

namespace freshet::house {
namespace {

/// Preprocessor lines, with their continuations, become spaces.
std::string without_directives(std::string code) {
    bool at_line_start = true;
    bool in_directive = false;
    for (std::size_t i = 0; i < code.size(); ++i) {
        if (code[i] == '\n') {
            in_directive = in_directive && i > 0 && code[i - 1] == '\\';
            at_line_start = true;
            continue;
        }
        if (at_line_start && code[i] == '#') in_directive = true;
        if (std::isspace(static_cast<unsigned char>(code[i])) == 0) at_line_start = false;
        // The line end after the continuation's mark needs the mark.
        if (in_directive && !(code[i] == '\\' && i + 1 < code.size() && code[i + 1] == '\n')) code[i] = ' ';
    }
    std::replace(code.begin(), code.end(), '\\', ' ');
    return code;
}

/// The head without the text in parentheses.
std::string outside_parentheses(std::string_view head) {
    std::string outside;
    int depth = 0;
    for (const char letter : head) {
        if (letter == ')') --depth;
        if (depth == 0) outside += letter;
        if (letter == '(') ++depth;
    }
    return outside;
}

/// Without a leading `template <...>`, whose defaults would look like an initialiser.
std::string_view without_template(std::string_view head) {
    const std::size_t word = head.find_first_not_of(" \n\t");
    if (word == std::string_view::npos || !head.substr(word).starts_with("template")) return head;
    int depth = 0;
    for (std::size_t i = word; i < head.size(); ++i) {
        if (head[i] == '<') ++depth;
        if (head[i] == '>' && --depth == 0) return head.substr(i + 1);
    }
    return head;
}

/// Whether a parameter list is the last thing in parentheses, and not a template's argument as in
/// std::array<X, f(n) - 1> table{...}: qualifiers, a return type or a constructor's list may follow.
bool ends_parameters(std::string_view outside) {
    constexpr std::array<std::string_view, 11> may_follow{
        ":", ",", "&", "const", "noexcept", "override", "final", "->", "try", "mutable", "requires"};
    const std::size_t last = outside.rfind(')');
    if (last == std::string_view::npos) return false;
    std::string_view rest = outside.substr(last + 1);
    rest.remove_prefix(std::min(rest.find_first_not_of(" \n\t"), rest.size()));
    return rest.empty() ||
           std::ranges::any_of(may_follow, [rest](std::string_view one) { return rest.starts_with(one); });
}

enum class Block : std::uint8_t { container, function, rest_of_function, in_parentheses, other };

/// What an opening brace outside functions and parentheses opens.
Block block_after(std::string_view head) {
    static const std::regex container(R"(\b(namespace|class|struct|union|enum|extern)\b)");
    static const std::regex initialised(R"((^|[^=!<>])=([^=]|$))");
    static const std::regex lambda(R"(=\s*\[[^\]]*\]\s*(\(|$))");
    static const std::regex operator_name(R"(\boperator\s*[^\s\w(]+)");
    const std::string outside = outside_parentheses(without_template(head));
    const std::size_t word = outside.find_first_not_of(" \n\t");
    // Another member of a constructor's list after a member in braces, or the body after the list.
    if (word == std::string::npos || outside[word] == ',') return Block::rest_of_function;
    if (outside.find('=') != std::string::npos) {
        if (std::regex_search(outside, lambda)) return Block::function;
        const std::string plain = std::regex_replace(outside, operator_name, "operator");
        if (std::regex_search(plain, initialised)) return Block::other;
    }
    if (ends_parameters(outside)) return Block::function;
    return std::regex_search(outside, container) ? Block::container : Block::other;
}

/// The word before the parameters, or the variable that holds a lambda.
std::string name_in(std::string_view head) {
    std::size_t end = head.find('(');
    if (const std::size_t lambda = head.find("= ["); lambda < end) end = lambda;
    while (end > 0 && head[end - 1] == ' ') --end;
    std::size_t begin = end;
    while (begin > 0 && std::isspace(static_cast<unsigned char>(head[begin - 1])) == 0) --begin;
    return std::string(head.substr(begin, end - begin));
}

bool is_access(std::string_view head) {
    static const std::regex access(R"(^\s*(public|private|protected)\s*$)");
    return std::regex_match(head.begin(), head.end(), access);
}

/// Reads a text from brace to brace.
class Scanner {
  public:
    explicit Scanner(std::string_view text) : code_(without_directives(code_of(text))) {}

    std::vector<FunctionLength> scan() {
        for (at_ = 0; at_ < code_.size(); ++at_) {
            switch (code_[at_]) {
                case '\n':
                    ++line_;
                    break;
                case '{':
                    open();
                    break;
                case '}':
                    close();
                    break;
                case ';':
                    if (inside_ == 0 && parentheses_ == 0) begin_head();
                    break;
                case ':':
                    if (inside_ == 0 && is_access(head())) begin_head();
                    break;
                case '(':
                    ++parentheses_;
                    break;
                case ')':
                    --parentheses_;
                    break;
                default:
                    break;
            }
        }
        return std::move(found_);
    }

  private:
    std::string_view head() const { return std::string_view(code_).substr(head_at_, at_ - head_at_); }
    void begin_head() {
        head_at_ = at_ + 1;
        head_line_ = line_;
    }

    /// The line of the head's first word.
    std::size_t first_line() const {
        const std::size_t word = head().find_first_not_of(" \n\t");
        const std::string_view blank =
            head().substr(0, word == std::string_view::npos ? head().size() : word);
        return head_line_ + static_cast<std::size_t>(std::count(blank.begin(), blank.end(), '\n'));
    }

    void open() {
        if (inside_++ > 0) return;
        const Block before = block_;
        block_ = parentheses_ > 0 ? Block::in_parentheses : block_after(head());
        const bool of_function = before == Block::function || before == Block::rest_of_function;
        if (block_ == Block::rest_of_function && !of_function) block_ = Block::other;
        if (block_ == Block::function) found_.push_back({name_in(head()), first_line(), 0});
        if (block_ == Block::container) {
            inside_ = 0;
            begin_head();
        }
    }

    void close() {
        if (inside_ == 0) {
            block_ = Block::container;
            begin_head();
            return;
        }
        if (--inside_ > 0) return;
        if (block_ == Block::function || block_ == Block::rest_of_function)
            found_.back().lines = line_ - found_.back().first_line + 1;
        if (block_ != Block::in_parentheses) begin_head();
    }

    std::string code_;
    std::vector<FunctionLength> found_;
    std::size_t at_ = 0, line_ = 1, head_at_ = 0, head_line_ = 1;
    int inside_ = 0;                  ///< braces open inside a function or a table
    int parentheses_ = 0;             ///< open
    Block block_ = Block::container;  ///< the last that was opened or closed
};

}  // namespace

std::vector<FunctionLength> functions_of(std::string_view text) {
    return Scanner(text).scan();
}

std::size_t lines_of(std::string_view text) {
    const auto ends = static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n'));
    return ends + (text.empty() || text.back() == '\n' ? 0 : 1);
}

}  // namespace freshet::house
