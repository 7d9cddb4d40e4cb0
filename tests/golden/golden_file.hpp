// The files with the results of earlier builds: codes.txt for decisions, words.txt for the words that people
// read.
// One reason to change: how a recording is written.
#pragma once

#include <filesystem>
#include <map>
#include <string>
#include <vector>

#include "tests/golden/recording.hpp"

namespace freshet::golden {

enum class Half { codes, words };

/// Writes one half of the recordings. Throws std::runtime_error when the file cannot be written.
void write_half(const std::filesystem::path& file, Half half, const std::vector<Recording>& recordings);

/// Reads one half, by the name of the run. The other half of each recording stays empty. Throws
/// std::runtime_error with file and line when the file cannot be read.
std::map<std::string, Recording> read_half(const std::filesystem::path& file, Half half);

}  // namespace freshet::golden
