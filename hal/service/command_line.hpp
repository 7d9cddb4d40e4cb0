// A command line read into options, and its mistakes told alike by every program.
// One reason to change: how such a mistake is told.
#pragma once

#include <optional>

namespace CLI {
class App;
}

namespace freshet::service {

/// Reads the arguments by the options that the app, named as it is called, was given. Nothing: go on.
/// Otherwise the exit code with which to end at once: after help, or after a mistake, told on standard error
/// in one line that begins with the program's name and says what was expected or the nearest known option.
/// The help ends with the caution of controller/words/cautions.hpp.
std::optional<int> read_command_line(CLI::App& app, int argc, char** argv);

}  // namespace freshet::service
