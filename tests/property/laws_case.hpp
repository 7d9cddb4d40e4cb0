// One scan as the laws judge it, for the files of the laws alone.
// One reason to change: a question about inputs or advice that several laws need.
#pragma once

#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <vector>

#include "tests/property/laws.hpp"

namespace freshet::laws {

using core::Analog;
using core::Digital;
using core::never_ms;
using core::no_pump;
using core::Quality;
using core::Sequence;

inline constexpr std::int64_t hour_ms = 3'600'000;

inline bool bit(std::uint8_t mask, std::size_t pump) {
    return ((mask >> pump) & 1U) != 0;
}

/// One scan to judge: its inputs, its advice, and the advice and history before it.
struct Case {
    const Settings& settings;
    History& history;
    const Inputs& in;
    const Advice& advice;
    const Advised& was;
    const Advised& now;
    std::vector<Broken>& broken;
    std::int64_t time_ms;

    template <class... Figures>
    void breaks(int law, const char* text, Figures... figures) const {
        std::array<char, 240> line{};
        // Every caller passes a text of this folder and numbers only.
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wformat-nonliteral"
#pragma GCC diagnostic ignored "-Wformat-security"
        std::snprintf(line.data(), line.size(), text, figures...);
#pragma GCC diagnostic pop
        broken.push_back({law, line.data()});
    }
    bool young(std::int32_t age_ms) const {
        return age_ms <= settings.signal.stale_ms;
    }
    bool on(const Digital& signal) const {
        return signal.quality != Quality::bad && young(signal.age_ms) && signal.on;
    }
    bool off(const Digital& signal) const {
        return signal.quality != Quality::bad && young(signal.age_ms) && !signal.on;
    }
    bool known(const Analog& signal) const {
        return signal.quality != Quality::bad && young(signal.age_ms);
    }
    bool in_transfer(const Advised& advised) const {
        return advised.sequence == Sequence::hand_over || advised.sequence == Sequence::take_back;
    }
    double need_m(double value_m) const {
        return settings.action == core::Action::direct ? value_m - settings.marks.setpoint_m
                                                       : settings.marks.setpoint_m - value_m;
    }
    /// Pumps seen on the line, and one more while the drive feeds a motor.
    int running_pumps() const {
        int running = was.drive_pump != no_pump ? 1 : 0;
        for (std::size_t p = 0; p < settings.pump_count; ++p)
            if (on(in.pumps[p].line_side_closed)) ++running;
        return running;
    }
    /// At a well the high float calls for pumps; at a tank the low float does.
    bool float_calls() const {
        return settings.action == core::Action::direct ? on(in.high_float) : off(in.low_float);
    }
    /// At a well the low float stops the pumps; at a tank the high float does.
    bool float_stops() const {
        return settings.action == core::Action::direct ? off(in.low_float) : on(in.high_float);
    }
    /// True when the limit gave way to water in danger for the pump, in the sequence that is under way.
    bool yielded(core::Permissive limit, std::size_t pump) const {
        constexpr std::int64_t longest_sequence_ms = 300'000;
        const std::int64_t at_ms = history.pumps[pump].yielded[static_cast<std::size_t>(limit)];
        return at_ms != never_ms && time_ms - at_ms <= longest_sequence_ms;
    }
    bool permission_lost(std::size_t pump) const {
        const core::PumpInputs& seen = in.pumps[pump];
        const bool selector_known = seen.selector.quality != Quality::bad && young(seen.selector.age_ms);
        return on(seen.tripped) || (selector_known && seen.selector.position != core::Selector::automatic);
    }
    bool supply_poor() const {
        const Settings::Drive& drive = settings.drive;
        const double band_hz = settings.supply.frequency_band_ratio * drive.line_frequency_hz;
        const bool hz_poor = known(in.line.frequency_hz) &&
                             std::abs(in.line.frequency_hz.value - drive.line_frequency_hz) > band_hz;
        const bool v_poor =
            known(in.line.voltage_v) &&
            in.line.voltage_v.value < settings.supply.voltage_min_ratio * drive.line_voltage_v;
        return hz_poor || v_poor;
    }
};

/// The advice feeds the pump: from the line, or from the running drive through its output contactor.
inline bool advised_fed(const Advised& advised, std::size_t pump) {
    return bit(advised.line_side, pump) ||
           (bit(advised.drive_side, pump) && advised.output_close && advised.drive_run);
}

// Each law, in the file that is named. `adopting` is true in the scan in which the controller takes over.
// laws_contactors.cpp
void law_1(const Case& at);
void law_2(const Case& at, bool adopting);
void law_3(const Case& at);
void law_4(const Case& at);
void law_8(const Case& at);
// laws_running.cpp
void law_5(const Case& at);
void law_6(const Case& at, bool adopting);
void law_7(const Case& at, bool adopting);
// laws_line_start.cpp
void law_11(const Case& at, bool adopting);
// laws_precedence.cpp
void law_12(const Case& at);
void law_13(const Case& at);
void law_14(const Case& at, bool adopting);
// laws_events.cpp
void law_9(const Case& at);
void law_10(const Case& at);

}  // namespace freshet::laws
