// Judging what the station may do; see the header.
#include "controller/core/station_permit.hpp"

#include "controller/core/held.hpp"

namespace freshet::core {

namespace {

/// True when the measured value may start a pump. When two transmitters differ, the measured value is the
/// safer of the two. A value over its range still shows that the water is high. A value under its range may
/// start the filling of a tank.
bool may_start_from(const MeasuredValue& measured, Action action) noexcept {
    if (measured.quality == Quality::good) return true;
    if (measured.quality == Quality::bad || measured.held) return false;
    return measured.cause == Cause::disagrees || measured.cause == Cause::over_range ||
           (measured.cause == Cause::under_range && action == Action::reverse);
}

/// True when the float that calls for pumps outvotes a measured value at the cut-off. The float that stops pumps
/// must be read at rest, because that float then protects the pumps.
bool cutoff_is_outvoted(const Sight& sight) noexcept {
    return sight.floats.calls && sight.picture.floats_known && !sight.floats.operated;
}

}  // namespace

void renew_permit(StationPermit& permit, const Sight& sight, Service service, bool inflow_fresh,
                  const NeedMarks& marks, const Settings& settings) noexcept {
    permit.supply_poor = held_for(permit.supply_poor_since_ms, sight.picture.line_poor,
                                  settings.supply.lost_hold_ms, sight.picture.time_ms);
    permit.low_cutoff = sight.measured().quality != Quality::bad && sight.need_m <= marks.cutoff_m &&
                        !cutoff_is_outvoted(sight);
    permit.low_float = sight.floats.stops;
    permit.pressure_high = sight.pressure.high;
    const bool by_value = service == Service::floats ? inflow_fresh && !sight.floats.operated
                                                     : may_start_from(sight.measured(), settings.action);
    permit.data_starts = sight.floats.calls || by_value;
}

}  // namespace freshet::core
