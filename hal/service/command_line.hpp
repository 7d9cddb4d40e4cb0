// Reads a command line into options and reports mistakes in the same way for every program.
// One reason to change: how a mistake on the command line is reported.
#pragma once

#include <optional>

namespace CLI {
class App;
}

namespace freshet::service {

/// Reads the arguments with the options of the app, whose name is the program's name. Empty: the program
/// continues. Otherwise the exit code with which the program ends at once, after help or after a mistake. A
/// mistake is reported in one line on standard error, with the program's name and the expected value or the
/// nearest known option. The help ends with the caution of controller/words/cautions.hpp.
std::optional<int> read_command_line(CLI::App& app, int argc, char** argv);

}  // namespace freshet::service
