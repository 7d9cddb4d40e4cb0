// Limits of steps; see the header.
#include "controller/core/step_limits.hpp"

namespace freshet::core {

std::int64_t limit_ms(Limit limit, const Settings& settings, double minimum_flow_hz) noexcept {
    const Settings::StepLimits& step = settings.step;
    const Settings::Drive& drive = settings.drive;
    switch (limit) {
        case Limit::close:
            return step.close_ms;
        case Limit::open:
            return step.open_ms;
        case Limit::overlap:
            return step.overlap_ms;
        case Limit::drive_start:
            return step.drive_start_ms + step.ramp_margin_ms + ramp_ms(minimum_flow_hz, drive.ramp_up_hz_s);
        case Limit::line_ramp:
            return step.drive_start_ms + step.ramp_margin_ms +
                   ramp_ms(drive.line_frequency_hz, drive.ramp_up_hz_s);
        case Limit::synchronise:
            return step.synchronise_ms;
        case Limit::stop_ramp:
            return step.ramp_margin_ms + ramp_ms(drive.speed_max_hz, drive.ramp_down_hz_s);
        case Limit::drive_stop:
            return step.drive_start_ms + ramp_ms(drive.speed_max_hz, drive.ramp_down_hz_s);
        case Limit::line_run:
            break;
    }
    return step.close_ms + settings.permissives.current_loss_ms;
}

}  // namespace freshet::core
