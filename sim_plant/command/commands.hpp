// The subcommands of `freshet`, one function and one file each.
// One reason to change: a new or a removed subcommand.
#pragma once

#include "hal/service/exit_code.hpp"

namespace freshet::command {

using service::exit_bad_input;
using service::exit_failure;
using service::exit_finding;
using service::exit_good;

/// Each function reads its own arguments and returns a service::ExitCode. argv[0] is the subcommand's name.
int alarms_command(int argc, char** argv);
int check_command(int argc, char** argv);
int run_command(int argc, char** argv);
int closing_command(int argc, char** argv);
int explain_command(int argc, char** argv);
int registers_command(int argc, char** argv);
int sequences_command(int argc, char** argv);

}  // namespace freshet::command
