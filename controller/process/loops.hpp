// The three ways in which a controller process keeps time: a site's steady clock, a bench's plant clock,
// lockstep. One reason to change: what moves station time.
#pragma once

#include <chrono>

#include "controller/process/scanner.hpp"
#include "hal/modbus/field_reader.hpp"
#include "hal/service/stop_signal.hpp"

namespace freshet::controller_process {

/// Each loop runs until a signal stops it and returns an exit code.

/// A site: scans by the steady clock, with the readings that the link has brought.
int run_at_site(modbus::FieldPlan plan, const modbus::Endpoint& field, const modbus::ClientOptions& client,
                Scanner& scanner, service::StopSignal& stop);

/// A bench: scans each new instant of the plant's clock. While the plant is out of reach the clock keeps
/// running by itself, so that data age and the scans continue.
int run_on_bench(modbus::FieldPlan plan, const modbus::Endpoint& field, const modbus::ClientOptions& client,
                 Scanner& scanner, service::StopSignal& stop);

/// Lockstep: scans every instant exactly once and returns 0 when the plant's run is over. A plant that is
/// silent for `stall` of wall time, or whose time goes back, is a failure.
int run_in_lockstep(modbus::FieldPlan plan, const modbus::Endpoint& field,
                    const modbus::ClientOptions& client, std::chrono::milliseconds stall, Scanner& scanner,
                    service::StopSignal& stop);

}  // namespace freshet::controller_process
