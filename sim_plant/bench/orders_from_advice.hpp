// The orders of the simulated station, decoded from the registers of the advice.
// One reason to change: an order that advice can carry.
#pragma once

#include <cstddef>

#include "hal/modbus/advice_decoder.hpp"
#include "sim_plant/physics/orders.hpp"

namespace freshet::bench {

/// While the controller waits for consistent readings, its advice gives no orders, and the old orders remain.
inline bool asks(const modbus::AdviceRead& read) {
    return read.service != core::Service::waiting;
}

/// The orders in a complete, valid read of an advice block that gives orders.
inline plant::Orders orders_from(const modbus::AdviceRead& read) {
    plant::Orders orders;
    orders.drive_run = read.drive_run;
    orders.synchronise = read.synchronise;
    orders.output_close = read.output_close;
    orders.speed_hz = read.speed_hz;
    for (std::size_t pump = 0; pump < orders.pumps.size(); ++pump) {
        orders.pumps[pump].drive_side_close = read.pumps[pump].drive_side_close;
        orders.pumps[pump].line_side_close = read.pumps[pump].line_side_close;
    }
    return orders;
}

}  // namespace freshet::bench
