// How a program of another project uses the core alone: settings in code, inputs by hand, advice printed when
// the advice changes. The station is invented. One reason to change: the code that a user of the core has to
// write.
#include <cstdio>

#include "controller/core/controller.hpp"

using namespace freshet::core;

Settings invented_station() {
    Settings s;  // two pumps on one drive empty a well
    s.pump_count = 2;
    s.marks = {2.0, 0.1, 2.2, 1.0, 2.6, 1.4, 0.6, 3.4};
    s.level_transmitter[0] = {true, 0.0, 5.0};
    s.store = {{{0.0, 0.0}, {5.0, 200.0}}};
    s.store_points = 2;
    s.curve = {{{0.0, 30.0}, {0.1, 26.0}, {0.2, 18.0}}};
    s.curve_points = 3;
    s.minimum_flow_m3s = 0.03;
    s.discharge_level_m = 12.0;
    s.rated_current_a = 60;
    s.drive = {50, 400, 50, 20, 4, 4, 0.3};
    s.demand.arrest_s = 120;
    return s;
}

int main() {
    Controller controller(invented_station());
    if (!controller.refused().sound()) return 2;
    Inputs in;
    Advice shown;
    for (std::int64_t now_ms = 1'900'000'000'000, end_ms = now_ms + 15'000; now_ms < end_ms; now_ms += 100) {
        const Advice& advice = controller.advice();  // the field has followed the advice of the previous scan
        const auto two_state = [](bool on) { return Digital{0, on, Quality::good, Cause::none}; };
        in.time_ms = now_ms;
        in.level[0].reading = {2.3, 0, Quality::good, Cause::none};
        in.drive.running = two_state(advice.drive_run);
        in.drive.tripped = two_state(false);
        in.drive.output_closed = two_state(advice.output_close);
        in.drive.frequency_hz = {advice.drive_run ? advice.speed_hz : 0, 0, Quality::good, Cause::none};
        for (std::size_t p = 0; p < 2; ++p) {
            in.pumps[p].drive_side_closed = two_state(advice.pumps[p].drive_side_close);
            in.pumps[p].line_side_closed = two_state(advice.pumps[p].line_side_close);
            in.pumps[p].tripped = two_state(false);
            in.pumps[p].selector = {0, Selector::automatic, Quality::good, Cause::none};
        }
        const Advice& next = controller.scan(in);
        const PumpAdvice &pump = next.pumps[0], &was = shown.pumps[0];
        if (next.scan_count == 1 || next.service != shown.service || pump.state != was.state ||
            pump.drive_side_close != was.drive_side_close || next.output_close != shown.output_close ||
            next.drive_run != shown.drive_run)
            std::printf("scan %u: %s; pump 1 state %d, drive side %d, drive output %d, drive run %d\n",
                        next.scan_count, next.service == Service::waiting ? "waiting" : "adopted",
                        static_cast<int>(pump.state), pump.drive_side_close, next.output_close,
                        next.drive_run);
        shown = next;
    }
    return shown.pumps[0].state == PumpState::on_drive ? 0 : 1;
}
