// A folder of its own for a test, gone afterwards; and small helpers to read what was written there.
// One reason to change: how tests get at files.
#pragma once

#include <stdlib.h>

#include <filesystem>
#include <fstream>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

namespace freshet::doubles {

class ScratchFolder {
  public:
    ScratchFolder() {
        // mkdtemp makes the last six letters its own.
        std::string name =
            (std::filesystem::temp_directory_path() / "freshet-test-").string() + std::string(6, 'X');
        if (::mkdtemp(name.data()) == nullptr) throw std::runtime_error("no folder for a test at " + name);
        path_ = name;
    }
    ~ScratchFolder() {
        std::error_code ignored;
        std::filesystem::remove_all(path_, ignored);
    }
    ScratchFolder(const ScratchFolder&) = delete;
    ScratchFolder& operator=(const ScratchFolder&) = delete;

    std::filesystem::path operator/(const std::string& name) const { return path_ / name; }
    const std::filesystem::path& path() const { return path_; }

  private:
    std::filesystem::path path_;
};

inline std::string bytes_of(const std::filesystem::path& path) {
    std::ifstream file(path, std::ios::binary);
    std::stringstream bytes;
    bytes << file.rdbuf();
    return bytes.str();
}

inline std::vector<std::string> lines_of(const std::filesystem::path& path) {
    std::vector<std::string> lines;
    std::ifstream file(path, std::ios::binary);
    for (std::string line; std::getline(file, line);) lines.push_back(line);
    return lines;
}

}  // namespace freshet::doubles
