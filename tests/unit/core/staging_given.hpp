// A picture of the station for single decisions of the staging.
// One reason to change: what a decision of the staging depends on.
#pragma once

#include <cstddef>
#include <cstdint>

#include "controller/core/climb.hpp"
#include "controller/core/staging.hpp"
#include "controller/core/store.hpp"
#include "tests/doubles/station_double.hpp"
#include "tests/unit/core/instants.hpp"

namespace freshet::core {

inline constexpr std::int64_t day_ms = 86'400'000;

/// Four healthy pumps and a level at the setpoint. `on_line` pumps run on the line and one more on the drive.
struct Given {
    Settings settings = doubles::four_pumps();
    FlowTable flows{settings};
    SequencerState state;
    Picture picture;
    StagingState staging;
    StagingInputs in;

    explicit Given(std::uint8_t on_line, bool one_on_drive = true) {
        picture.time_ms = now_ms;
        picture.automatic = picture.drive_side_open = picture.line_side_open = 0x0F;
        picture.output_open = !one_on_drive;
        picture.output_closed = one_on_drive;
        picture.drive_known = picture.drive_hz_known = true;
        picture.drive_running = one_on_drive;
        picture.drive_stopped = !one_on_drive;
        picture.contacts_known = picture.floats_known = true;
        picture.on_line = on_line;
        for (std::size_t pump = 0; pump < settings.pump_count; ++pump) {
            PumpRecord& record = state.pumps[pump];
            record.released_ms = now_ms - day_ms;
            if (pump > on_line || (pump == on_line && !one_on_drive)) continue;
            record.started_ms = now_ms - day_ms;
            record.state = pump < on_line ? PumpState::on_line : PumpState::on_drive;
            auto& closed = pump < on_line ? picture.line_side_closed : picture.drive_side_closed;
            auto& open = pump < on_line ? picture.line_side_open : picture.drive_side_open;
            closed = static_cast<PumpMask>(closed | bit_of(pump));
            open = static_cast<PumpMask>(open & ~bit_of(pump));
        }
        if (one_on_drive) state.drive_pump = on_line;
        in.marks = need_marks(settings);
        in.permit = {.settled = true, .data_starts = true};
        in.service = Service::normal;
        in.highest_hz = settings.drive.speed_max_hz;
        in.water.inflow_known = true;
        set_value(settings.marks.setpoint_m);
        in.demand_hz = in.lowest_hz;
    }
    void set_value(double value_m) {
        in.value_m = value_m;
        in.need_m = need_of(settings, value_m);
        in.lowest_hz = flows.minimum_flow_hz(picture.on_line, value_m);
        in.water.volume_m3 = need_volume_m3(settings, value_m);
    }
    void set_inflow(double inflow_m3s) { in.water.inflow_m3s = inflow_m3s; }
    void set_area(double area_m2) {
        const double highest_m = settings.store[1].level_m;
        settings.store[1].volume_m3 = area_m2 * highest_m;
        set_value(in.value_m);
    }
    /// What `line_pumps` and the drive pump at full speed carry at the stage-up mark.
    double full_m3s(std::size_t line_pumps) const {
        return flows.total_m3s(line_pumps, in.highest_hz, settings.marks.stage_up_m);
    }
    /// What `line_pumps` and the drive pump at its minimum flow carry at the present level.
    double least_m3s(std::size_t line_pumps) const {
        return flows.total_m3s(line_pumps, in.lowest_hz, in.value_m);
    }
    Decision decide_now() { return decide(staging, state, picture, in, flows, settings); }
    Decision decide_after(std::int64_t wait_ms) {
        decide_now();
        picture.time_ms += wait_ms;
        return decide_now();
    }
};

inline constexpr std::int64_t staging_hold_ms = 3000;

}  // namespace freshet::core
