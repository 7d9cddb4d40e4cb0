// Walks the repository's own folders and reads its files.
// One reason to change: see the header.
#include "tests/house/tree.hpp"

#include <algorithm>
#include <fstream>
#include <regex>
#include <sstream>

namespace freshet::house {
namespace {

namespace fs = std::filesystem;

const fs::path root = FRESHET_SOURCE_DIR;

/// The names in .gitignore, and the folders that an interpreter leaves.
bool ignored(const std::string& name) {
    return name.starts_with("build") || name == "out" || name == "compile_commands.json" ||
           name == "__pycache__" || name.ends_with(".swp");
}

std::string read(const fs::path& path) {
    std::ifstream file(path, std::ios::binary);
    std::stringstream bytes;
    bytes << file.rdbuf();
    return bytes.str();
}

void collect(const fs::path& folder, std::vector<SourceFile>& files) {
    for (const fs::directory_entry& entry : fs::directory_iterator(folder)) {
        const std::string name = entry.path().filename().string();
        if (name == "__pycache__" || name.ends_with(".swp")) continue;
        if (entry.is_directory()) {
            collect(entry.path(), files);
        } else if (entry.is_regular_file()) {
            files.push_back({fs::relative(entry.path(), root).generic_string(), read(entry.path())});
        }
    }
}

}  // namespace

std::vector<std::string> top_level() {
    std::vector<std::string> names;
    for (const fs::directory_entry& entry : fs::directory_iterator(root)) {
        const std::string name = entry.path().filename().string();
        if (!name.starts_with('.') && !ignored(name)) names.push_back(name);
    }
    std::sort(names.begin(), names.end());
    return names;
}

std::vector<SourceFile> files_in(std::string_view room) {
    std::vector<SourceFile> files;
    if (!room.empty()) {
        if (fs::exists(root / room)) collect(root / room, files);
    } else {
        for (const std::string& name : top_level()) {
            if (fs::is_directory(root / name)) {
                collect(root / name, files);
            } else {
                files.push_back({name, read(root / name)});
            }
        }
        if (fs::exists(root / ".ci")) collect(root / ".ci", files);
    }
    std::sort(files.begin(), files.end(),
              [](const SourceFile& a, const SourceFile& b) { return a.path < b.path; });
    return files;
}

std::string code_of(std::string_view text) {
    std::string code;
    code.reserve(text.size());
    enum class In { program, line_comment, block_comment, string, letter, raw } in = In::program;
    std::string raw_end;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char now = text[i];
        const char next = i + 1 < text.size() ? text[i + 1] : '\0';
        char kept = now == '\n' ? '\n' : ' ';
        switch (in) {
            case In::program:
                if (now == '/' && next == '/') {
                    in = In::line_comment;
                } else if (now == '/' && next == '*') {
                    in = In::block_comment;
                } else if (now == '"' && i > 0 && text[i - 1] == 'R') {
                    const std::size_t open = text.find('(', i);
                    raw_end = ")" + std::string(text.substr(i + 1, open - i - 1)) + "\"";
                    in = In::raw;
                    kept = '"';
                } else if (now == '"') {
                    in = In::string;
                    kept = '"';
                } else if (now == '\'' &&
                           (i == 0 || !(std::isalnum(static_cast<unsigned char>(text[i - 1])) != 0))) {
                    in = In::letter;
                    kept = '\'';
                } else {
                    kept = now;
                }
                break;
            case In::line_comment:
                if (now == '\n') in = In::program;
                break;
            case In::block_comment:
                if (now == '/' && i > 0 && text[i - 1] == '*') in = In::program;
                break;
            case In::string:
            case In::letter:
                if (now == '\\') {
                    code += ' ';
                    ++i;
                } else if (now == (in == In::string ? '"' : '\'')) {
                    in = In::program;
                    kept = now;
                }
                break;
            case In::raw:
                if (text.substr(i, raw_end.size()) == raw_end) {
                    code.append(raw_end.size() - 1, ' ');
                    i += raw_end.size() - 1;
                    in = In::program;
                    kept = '"';
                }
                break;
        }
        code += kept;
    }
    return code;
}

std::vector<std::string> includes_of(std::string_view text) {
    static const std::regex include(R"re(^\s*#\s*include\s*([<"][^>"]+[>"]))re");
    std::vector<std::string> names;
    std::istringstream lines{std::string(text)};
    std::smatch match;
    for (std::string line; std::getline(lines, line);) {
        if (std::regex_search(line, match, include)) names.push_back(match[1]);
    }
    return names;
}

}  // namespace freshet::house
