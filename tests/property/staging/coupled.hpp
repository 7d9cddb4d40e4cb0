// Core and plant of a station of the campaign in one process, scan by scan.
// One reason to change: how the campaign couples controller and plant.
#pragma once

#include <cstdint>
#include <iosfwd>

#include "config/scenario.hpp"
#include "controller/core/controller.hpp"
#include "hal/modbus/bench_people.hpp"
#include "hal/modbus/field_loop.hpp"
#include "sim_plant/bench/advice_link.hpp"
#include "sim_plant/bench/link_condition.hpp"
#include "sim_plant/station/plant.hpp"
#include "tests/property/staging/random_station.hpp"
#include "tests/property/staging/trace.hpp"

namespace freshet::staging_campaign {

class Coupled {
  public:
    /// `trace`: where to print every scan; null: nowhere.
    Coupled(const RandomStation& station, const config::Scenario& scenario, std::ostream* trace = nullptr)
        : station_(station),
          trace_(trace),
          plant_(station.real, scenario, station.settings.scan_ms),
          controller_(station.settings),
          field_(station.plan),
          link_(station.given.pump_count, station.settings.scan_ms) {}

    /// The controller decides, and the station takes one step. The advice is valid until the next scan.
    const core::Advice& scan() {
        const std::int64_t now_ms = plant_.time_ms();
        const core::Advice& advice = controller_.scan(
            people_.attend(field_.pass(plant_.readings(), now_ms, bench::condition_of(plant_.link(), now_ms),
                                       plant_.only_clock()),
                           plant_.people()));
        orders_ = link_.pass(advice);
        plant_.step(orders_);
        if (trace_ != nullptr) trace_scan(*trace_, station_, plant_, advice, scans_);
        ++scans_;
        return advice;
    }
    const core::Advice& advice() const { return controller_.advice(); }
    plant::Plant& plant() { return plant_; }
    const plant::Plant& plant() const { return plant_; }
    /// The orders of the last scan.
    const plant::Orders& orders() const { return orders_; }

  private:
    const RandomStation& station_;
    std::ostream* trace_;
    std::int64_t scans_ = 0;
    plant::Plant plant_;
    core::Controller controller_;
    modbus::FieldLoop field_;
    modbus::BenchPeople people_;
    bench::AdviceLink link_;
    plant::Orders orders_;
};

}  // namespace freshet::staging_campaign
