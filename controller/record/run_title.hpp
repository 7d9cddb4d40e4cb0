// What a record says of itself at its head.
// One reason to change: something a reader must know of a run before its figures.
#pragma once

#include <string>

#include "controller/core/settings.hpp"

namespace freshet::record {

struct RunTitle {
    std::string scenario;  ///< name; empty when a controller runs without one
    std::string title;     ///< one line for people
    std::string station;
    bool simulated = true;
    core::Settings settings;  ///< marks and pump count for the plots
};

}  // namespace freshet::record
