// The exit codes of every program of this house.
// One reason to change: the meaning of an exit code.
#pragma once

namespace freshet::service {

enum ExitCode : int { exit_good = 0, exit_finding = 1, exit_bad_input = 2, exit_failure = 3 };

}  // namespace freshet::service
