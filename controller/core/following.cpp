// Following the need; see the header.
#include "controller/core/following.hpp"

namespace freshet::core {

namespace {

/// Starts the demand at the present speed of the drive.
void start_following(Following& following, const Sight& sight, std::uint8_t pump, Service service,
                     double lowest_hz, double highest_hz, const Tuning& tuning) noexcept {
    const double found_hz = sight.picture.drive_hz_known ? sight.picture.drive_hz : lowest_hz;
    const double speed_hz =
        found_hz < lowest_hz ? lowest_hz : (found_hz > highest_hz ? highest_hz : found_hz);
    following.demand.start_at(speed_hz, sight.need_m, tuning);
    following.pump = pump;
    following.service = service;
}

/// The speed without a measured value. The speed rises while a float calls for pumps, and otherwise stays.
void follow_floats(Following& following, const Sight& sight, Service service, double lowest_hz,
                   double highest_hz, double step_hz) noexcept {
    const double present_hz = following.demand.speed_hz();
    const bool calls = service == Service::floats && sight.floats.calls;
    const double wanted_hz = calls ? highest_hz : present_hz;
    const double speed_hz = wanted_hz < present_hz + step_hz ? wanted_hz : present_hz + step_hz;
    following.demand.start_at(speed_hz < lowest_hz ? lowest_hz : speed_hz, sight.need_m, {});
    following.service = service;
}

}  // namespace

void follow(Following& following, const Sight& sight, const SequencerState& sequencer, Service service,
            double lowest_hz, double elapsed_s, const FlowTable& flows, const Settings& settings) noexcept {
    const std::uint8_t pump = sequencer.main.step == Step::idle ? sequencer.drive_pump : no_pump;
    if (pump == no_pump) {
        following.pump = no_pump;
        return;
    }
    Demand& demand = following.demand;
    const std::size_t beside = line_pumps_beside(sight.picture, pump);
    const Tuning& tuning = following.tuning.at({sight.area_m2, beside}, [&] {
        return arrest_tuning(flows.flow_per_hz(beside) / sight.area_m2, settings.demand.arrest_s);
    });
    const bool held = sight.pressure.high && pump == following.pump && demand.speed_hz() >= lowest_hz;
    const double highest_hz = held ? demand.speed_hz() : settings.drive.speed_max_hz;
    if (pump != following.pump) {
        start_following(following, sight, pump, service, lowest_hz, highest_hz, tuning);
        return;
    }
    if (service == Service::floats || service == Service::hold) {
        follow_floats(following, sight, service, lowest_hz, highest_hz,
                      settings.demand.rate_max_hz_s * elapsed_s);
        return;
    }
    if (service != following.service) {
        demand.start_at(demand.speed_hz(), sight.need_m, tuning);
        following.service = service;
    }
    demand.step({sight.need_m, lowest_hz, highest_hz, elapsed_s}, tuning, settings.demand.rate_max_hz_s);
}

}  // namespace freshet::core
