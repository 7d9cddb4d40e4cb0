// The title of a record.
// One reason to change: something that a reader must know about a run before its figures.
#pragma once

#include <string>

#include "controller/core/settings.hpp"

namespace freshet::record {

struct RunTitle {
    std::string scenario;  ///< name; empty when a controller runs without a scenario
    std::string title;     ///< one line for people
    std::string station;
    bool simulated = true;
    core::Settings settings;  ///< marks and pump count for the plots
};

}  // namespace freshet::record
