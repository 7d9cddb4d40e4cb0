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

}  // namespace

void renew_permit(StationPermit& permit, const Sight& sight, Service service, bool settled,
                  const NeedMarks& marks, const Settings& settings) noexcept {
    permit.supply_poor = held_for(permit.supply_poor_since_ms, sight.picture.line_poor,
                                  settings.supply.lost_hold_ms, sight.picture.time_ms);
    permit.settled = settled;
    permit.low_cutoff = sight.measured().quality != Quality::bad && sight.need_m <= marks.cutoff_m;
    permit.low_float = sight.floats.stops;
    permit.pressure_high = sight.pressure.high;
    permit.data_starts = service == Service::floats ? sight.floats.calls && !sight.floats.stops
                                                    : may_start_from(sight.measured(), settings.action);
}

}  // namespace freshet::core
