// The three ways in which a controller process keeps time: the steady clock of a site, the plant clock of a
// bench, or lockstep. One reason to change: the source of station time.
#pragma once

#include <chrono>

#include "controller/process/scanner.hpp"
#include "hal/modbus/field_reader.hpp"
#include "hal/service/stop_signal.hpp"

namespace freshet::controller_process {

/// Each loop runs until a signal stops it and returns an exit code.

/// Runs at a site. Scans by the steady clock, with the readings that the link has brought.
int run_at_site(modbus::FieldPlan plan, const modbus::Endpoint& field, const modbus::ClientOptions& client,
                Scanner& scanner, service::StopSignal& stop);

/// Runs on a bench. Scans each new instant of the plant's clock. While the plant is out of reach, the
/// controller keeps the clock running, so that the data age and the scans continue.
int run_on_bench(modbus::FieldPlan plan, const modbus::Endpoint& field, const modbus::ClientOptions& client,
                 Scanner& scanner, service::StopSignal& stop);

/// Runs in lockstep. Scans every instant exactly once. Returns 0 when the plant's run is over. Returns a
/// failure when the plant is silent for `stall` of wall time, or when the plant's time goes back.
int run_in_lockstep(modbus::FieldPlan plan, const modbus::Endpoint& field,
                    const modbus::ClientOptions& client, std::chrono::milliseconds stall, Scanner& scanner,
                    service::StopSignal& stop);

}  // namespace freshet::controller_process
