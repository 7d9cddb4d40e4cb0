// What the pumps deliver in every combination, worked out once from curves and main.
// One reason to change: how flow is reckoned from speed, combination and measured value.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

#include "controller/core/settings.hpp"

namespace freshet::core {

/// Flow of `line_pumps` at line frequency and, with `drive_hz` > 0, one more on the drive, in m3/s, at a
/// measured value. Direct solution of pumps in parallel against static head and a quadratic main; used at
/// construction and in tests.
struct Combination {
    std::uint8_t line_pumps = 0;
    double drive_hz = 0;
    double measured_m = 0;
};
struct Delivery {
    double total_m3s = 0;
    double drive_pump_m3s = 0;
};
Delivery solve_combination(const Settings& settings, const Combination& combination) noexcept;

/// Tables over combinations, speed and measured value. Reading one is a bilinear interpolation: bounded, no
/// iteration.
class FlowTable {
  public:
    /// No flow in any combination: for a controller that refuses its settings.
    FlowTable() noexcept = default;
    /// `settings` must have passed core::check.
    explicit FlowTable(const Settings& settings) noexcept;

    /// Total flow, m3/s. `line_pumps` up to pump_count; `drive_hz` 0 for no pump on the drive. Clamped at the
    /// table's ends; a number that is none counts as the lower one.
    double total_m3s(std::size_t line_pumps, double drive_hz, double measured_m) const noexcept;

    /// Speed at which a pump on the drive, beside `line_pumps` at line frequency, just delivers its minimum
    /// continuous flow: the lowest useful speed of that combination. At most speed_max_hz.
    double minimum_flow_hz(std::size_t line_pumps, double measured_m) const noexcept;

    /// Mean gain of flow by speed of the drive pump beside `line_pumps`, m3/s per Hz, at the setpoint.
    double flow_per_hz(std::size_t line_pumps) const noexcept { return flow_per_hz_[line_pumps]; }

  private:
    static constexpr std::size_t speeds = 37;
    static constexpr std::size_t heads = 3;
    struct PerHead {
        double line_only_m3s = 0;
        double minimum_flow_hz = 0;
        std::array<double, speeds> with_drive_m3s{};
    };
    std::array<std::array<PerHead, heads>, pumps_max + 1> table_{};
    std::array<double, pumps_max + 1> flow_per_hz_{};
    double low_m_ = 0, span_m_ = 1, speed_low_hz_ = 0, speed_step_hz_ = 1, speed_max_hz_ = 0;

    /// Where a measured value lies between the table's heads.
    struct Place {
        std::size_t below = 0;
        double share = 0;
    };
    Place place(double measured_m) const noexcept;
};

/// Surface of the store at a level, m2: slope of the stage-storage table, held constant beyond its ends.
double store_area_m2(const Settings& settings, double level_m) noexcept;

}  // namespace freshet::core
