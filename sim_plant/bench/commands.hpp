// The subcommands of `freshet`, one function and one file each.
// One reason to change: a subcommand that comes or goes.
#pragma once

namespace freshet::bench {

/// What every command of Freshet returns to its caller.
enum ExitCode : int { exit_good = 0, exit_finding = 1, exit_bad_input = 2, exit_failure = 3 };

/// Each takes its own arguments, argv[0] being the subcommand's name, and returns an ExitCode.
int alarms_command(int argc, char** argv);
int check_command(int argc, char** argv);
int run_command(int argc, char** argv);
int closing_command(int argc, char** argv);
int explain_command(int argc, char** argv);
int registers_command(int argc, char** argv);
int sequences_command(int argc, char** argv);

}  // namespace freshet::bench
