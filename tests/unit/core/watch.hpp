// A controller and a stand-in station that run together, and the events of all scans.
// One reason to change: what tests of the whole scan have in common.
#pragma once

#include <functional>
#include <utility>
#include <vector>

#include "controller/core/controller.hpp"
#include "tests/doubles/station_double.hpp"
#include "tests/unit/core/durations.hpp"

namespace freshet::core {

class Watch {
  public:
    explicit Watch(const Settings& settings = doubles::four_pumps(), const Retained* kept = nullptr)
        : settings_(settings), controller_(settings, kept), station(settings) {}

  private:
    Settings settings_;
    Controller controller_;
    bool reset_ordered_ = false;

  public:
    doubles::StationDouble station;
    std::vector<Event> events;
    const Advice* advice = nullptr;
    /// Changes the readings between the station and the controller, if set.
    std::function<void(Inputs&)> on_the_way;

    /// Replaces the controller, as after its power failed. The station keeps running.
    void restart(const Retained* kept = nullptr) { controller_ = Controller(settings_, kept); }
    Retained retained() const { return controller_.retained(); }
    /// The station runs without a controller and keeps to the last advice.
    void go_unattended(std::int64_t duration_ms) {
        const Advice last = *advice;
        for (const std::int64_t end = station.now_ms + duration_ms; station.now_ms < end;) station.step(last);
    }

    /// A person at the controller's panel resets the emergency stop in the next scan.
    void reset_emergency_stop() { reset_ordered_ = true; }

    void scan_once() {
        Inputs inputs = station.look();
        inputs.people.reset_emergency_stop = std::exchange(reset_ordered_, false);
        if (on_the_way) on_the_way(inputs);
        advice = &controller_.scan(inputs);
        events.insert(events.end(), advice->events.begin(), advice->events.begin() + advice->event_count);
        station.step(*advice);
    }
    void run_for(std::int64_t duration_ms) {
        for (const std::int64_t end = station.now_ms + duration_ms; station.now_ms < end;) scan_once();
    }
    /// Runs until the condition holds. False when this takes longer than the limit.
    bool run_until(const std::function<bool()>& condition, std::int64_t limit_ms) {
        for (const std::int64_t end = station.now_ms + limit_ms; station.now_ms < end;) {
            scan_once();
            if (condition()) return true;
        }
        return false;
    }
    bool run_until_state(std::size_t pump, PumpState state, std::int64_t limit_ms) {
        return run_until([&] { return advice->pumps[pump].state == state; }, limit_ms);
    }
    bool run_until_step(Step step, std::int64_t limit_ms) {
        return run_until([&] { return advice->step == step; }, limit_ms);
    }

    PumpState state(std::size_t pump) const { return advice->pumps[pump].state; }
    const Settings& settings() const { return settings_; }

    const Event* last(EventKind what) const {
        for (auto event = events.rbegin(); event != events.rend(); ++event)
            if (event->what == what) return &*event;
        return nullptr;
    }
    const Event* last(EventKind what, std::uint8_t detail) const {
        for (auto event = events.rbegin(); event != events.rend(); ++event)
            if (event->what == what && event->detail == detail) return &*event;
        return nullptr;
    }
    const Event* last(Step step) const {
        return last(EventKind::step_entered, static_cast<std::uint8_t>(step));
    }
    std::size_t count(EventKind what, Sequence sequence) const {
        std::size_t found = 0;
        for (const Event& event : events)
            if (event.what == what && event.detail == static_cast<std::uint8_t>(sequence)) ++found;
        return found;
    }
    bool alarm(StationAlarm code) const { return (advice->station_alarms & alarm_bit(code)) != 0; }
    bool alarm(std::size_t pump, PumpAlarm code) const {
        return (advice->pump_alarms[pump] & alarm_bit(code)) != 0;
    }

    /// Brings pump 1 onto the drive: enough inflow for one pump.
    bool one_on_drive() {
        station.level_m = 2.3;
        station.inflow_m3s = 0.6;
        return run_until_state(0, PumpState::on_drive, 2_min);
    }
    /// Brings pump 1 onto the line and pump 2 onto the drive.
    bool one_on_line_one_on_drive() {
        if (!one_on_drive()) return false;
        station.inflow_m3s = 1.4;
        return run_until([&] { return state(0) == PumpState::on_line && state(1) == PumpState::on_drive; },
                         30_min);
    }
};

}  // namespace freshet::core
