// The command line of `freshet-controller`.
// One reason to change: someone adds or removes an option.
#pragma once

#include <chrono>
#include <cstdint>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "hal/modbus/read_client.hpp"
#include "hal/service/host_port.hpp"

namespace freshet::controller_process {

struct Options {
    std::string station_file, field_map_file;
    bool lockstep = false;
    modbus::Endpoint field;
    service::HostPort listen{"127.0.0.1", 1502};
    std::vector<std::string> allowed;
    std::string out_folder;                    ///< empty: no record
    std::string kept_file;                     ///< empty: the controller keeps no data over a restart
    bool attended = false;                     ///< true: standard input gives orders about alarms
    std::int32_t expiry_ms = 5000;             ///< station time
    std::chrono::milliseconds response{1000};  ///< wall time
    std::chrono::milliseconds stall{30000};    ///< wall time
};

/// Returns the options, or an exit code with which the process must end at once. The exit code comes after
/// help, or after a mistake that this function has reported on standard error.
std::variant<Options, int> read_options(int argc, char** argv);

}  // namespace freshet::controller_process
