// The command line of `freshet-plant`.
// One reason to change: someone adds or removes an option.
#pragma once

#include <chrono>
#include <string>
#include <variant>
#include <vector>

#include "hal/service/host_port.hpp"

namespace freshet::plant_process {

struct Options {
    std::string scenario_file;
    std::string field_map_file;  ///< empty: the field map of the scenario
    double speed = 1;            ///< station time over wall time; 0: as fast as possible
    bool lockstep = false;
    bool live_line = false;
    bool instructor = false;  ///< true: standard input gives orders about faults
    service::HostPort listen{"127.0.0.1", 1503};
    std::vector<std::string> allowed;
    service::HostPort advice{"127.0.0.1", 1502};
    double duration_s = 0;                     ///< 0: as long as the scenario
    std::string out_folder;                    ///< empty: no record
    std::chrono::milliseconds response{1000};  ///< wall time
    std::chrono::milliseconds stall{30000};    ///< wall time
};

/// Returns the options, or an exit code with which the process must end at once. The exit code comes after
/// help, or after a mistake that this function has reported on standard error.
std::variant<Options, int> read_options(int argc, char** argv);

}  // namespace freshet::plant_process
