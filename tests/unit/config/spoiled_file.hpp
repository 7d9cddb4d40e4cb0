// A shipped file with something wrong in it, and what the loader says.
// One reason to change: how tests spoil files.
#pragma once

#include <gtest/gtest.h>

#include <string>
#include <string_view>

#include "config/loader/document.hpp"
#include "config/loader/read.hpp"

namespace freshet::config::test {

inline std::string shipped(std::string_view path) {
    return std::string(FRESHET_SOURCE_DIR "/config/").append(path);
}

/// Opened once: it reads the units database.
inline const Units& units() {
    static const tl::expected<Units, std::string> opened = Units::open();
    return opened.value();
}

class SpoiledFile {
  public:
    explicit SpoiledFile(std::string_view path) : file_(shipped(path)), text_(read_text(file_).value()) {}

    /// Puts `after` in the place of `before`, which must be there.
    SpoiledFile& replace(std::string_view before, std::string_view after) {
        const auto begin = text_.find(before);
        if (begin == std::string::npos)
            ADD_FAILURE() << "not in the file: " << before;
        else
            text_.replace(begin, before.size(), after);
        return *this;
    }
    SpoiledFile& append(std::string_view text) {
        text_.append(text);
        return *this;
    }

    /// "file:line:column: " of the first place of `text` after a byte.
    std::string at(std::string_view text, std::size_t from = 0) const {
        const auto begin = text_.find(text, from);
        if (begin == std::string::npos) ADD_FAILURE() << "not in the file: " << text;
        return place(begin);
    }
    /// The same of the value of a key, wherever in its table the key is.
    std::string at_value(std::string_view key) const {
        const std::string before = "\n" + std::string(key) + " = ";
        const auto begin = text_.find(before);
        if (begin == std::string::npos) ADD_FAILURE() << "no key of the file: " << key;
        return place(begin + before.size());
    }
    std::string start() const { return file_ + ":1:1: "; }

    const std::string& text() const { return text_; }
    const std::string& file() const { return file_; }

    /// What is printed; empty when the file is taken.
    std::string as_station() const { return printed(read_station_file(text_, file_, units())); }
    std::string as_scenario() const { return printed(read_scenario(text_, file_, units())); }
    std::string as_field_map() const { return printed(read_field_map(text_, file_, units())); }
    std::string as_motor() const { return printed(read_motor_file(text_, file_, units())); }

  private:
    /// "file:line:column: " of a byte of the text.
    std::string place(std::size_t begin) const {
        std::size_t line = 1, line_begin = 0;
        for (std::size_t i = 0; i < begin && i < text_.size(); ++i)
            if (text_[i] == '\n') {
                ++line;
                line_begin = i + 1;
            }
        return file_ + ":" + std::to_string(line) + ":" + std::to_string(begin - line_begin + 1) + ": ";
    }

    template <class Result>
    static std::string printed(const Result& result) {
        return result ? std::string() : text_of(result.error());
    }

    std::string file_, text_;
};

struct DemoStation : SpoiledFile {
    DemoStation() : SpoiledFile("stations/demo.toml") {}
};

}  // namespace freshet::config::test
