// The orders that the simulated station follows. On the bench they come from the advice.
// One reason to change: an order that advice can carry.
#pragma once

#include <array>
#include <cstdint>

namespace freshet::plant {

struct PumpOrders {
    bool drive_side_close = false, line_side_close = false;
};

struct Orders {
    bool drive_run = false, synchronise = false, output_close = false;
    double speed_hz = 0;
    std::array<PumpOrders, 8> pumps{};
};

}  // namespace freshet::plant
