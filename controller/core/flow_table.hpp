// What the pumps deliver in every combination, computed once from curves and main.
// One reason to change: how flows are kept so that a scan can read them without solving.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

#include "controller/core/pump_flow.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/steady_flow.hpp"

namespace freshet::core {

/// Flows of `solve_combination` and speeds of `minimum_flow_speed_hz`, kept over combinations, static head and
/// speed. Reading is bounded and has no iteration. Within the marks, and from the minimum-flow speed up, a
/// reading differs from the simulated plant's steady flow by less than 0.1 % of the combination's flow at full
/// speed, and the minimum-flow speed by less than 0.05 Hz (tests/property/hydraulics/flow_table_test.cpp).
///
/// The table keeps the lift of the header, and the flow of each pump follows from lift and speed. An error in
/// the lift counts little there, because the lift moves little where the pump's curve is level. Heads go with
/// the square of the speed, so that the table's speeds are even in the square root of the distance from the
/// cut-in speed, both squared: at the cut-in speed the drive pump opens its valve, and the flow rises from
/// there as steeply as a square root. A measured header pressure is the lift itself and needs no table.
class FlowTable {
  public:
    /// A flow of the station, m3/s, and whether the flow has come to its steady value.
    struct MovingFlow {
        double flow_m3s = 0;
        bool steady = false;
    };

    /// No flow in any combination: for a controller that refuses its settings.
    FlowTable() noexcept = default;
    /// `settings` must have passed core::check.
    explicit FlowTable(const Settings& settings) noexcept;

    /// Total flow, m3/s. `line_pumps` is at most pump_count; `drive_hz` is 0 for no pump on the drive. The
    /// values are limited to the marks and to the highest speed. A value that is not a number counts as the
    /// lower end.
    double total_m3s(std::size_t line_pumps, double drive_hz, double measured_m) const noexcept;

    /// Flow of each pump of a combination, and the lift of the header. The values are limited as in total_m3s.
    Delivery delivery(std::size_t line_pumps, double drive_hz, double measured_m) const noexcept;

    /// Speed ratio of a pump on the drive; see DriveSpeed.
    double speed_ratio_of(double drive_hz) const noexcept { return drive_speed_.ratio_of(drive_hz); }

    /// Speed at which a pump on the drive, with `line_pumps` at line frequency, just delivers its minimum
    /// continuous flow at that speed. This is the lowest useful speed of the combination. The result is within
    /// speed_min_hz to speed_max_hz.
    double minimum_flow_hz(std::size_t line_pumps, double measured_m) const noexcept;

    /// Total flow, m3/s, at `minimum_hz`, the result of minimum_flow_hz at this measured value.
    double least_m3s(std::size_t line_pumps, double minimum_hz, double measured_m) const noexcept;

    /// Speed at which a pump on the drive, with `line_pumps` at line frequency, brings the total flow to
    /// `flow_m3s`, Hz; within `lowest_hz` to `highest_hz`. The search begins at `near_hz`.
    double speed_for_hz(std::size_t line_pumps, double flow_m3s, double measured_m, double near_hz,
                        double lowest_hz, double highest_hz) const noexcept;

    /// Flow of the station `elapsed_s` after a flow of `before_m3s`; see flow_after.
    MovingFlow moving(std::size_t line_pumps, double drive_hz, double measured_m, double before_m3s,
                      double elapsed_s, const Settings& settings) const noexcept;

    /// Volume that the moving water in the main takes from the store beyond the steady flow of a combination,
    /// from a flow of `from_m3s` until the flow is steady, m3. Negative where the flow has to rise.
    double coasting_m3(std::size_t line_pumps, double drive_hz, double measured_m, double from_m3s,
                       const Settings& settings) const noexcept;

    /// Mean gain of flow by speed of the drive pump with `line_pumps` on the line, m3/s per Hz, at the setpoint.
    double flow_per_hz(std::size_t line_pumps) const noexcept { return flow_per_hz_[line_pumps]; }

  private:
    static constexpr std::size_t speeds = 49;
    static constexpr std::size_t heads = 9;
    /// One combination at one static head. Speeds are squares of ratios to line frequency.
    struct Cell {
        double cut_in = 0;
        double minimum_flow = 0;
        std::array<double, speeds> lift_m{};  ///< the first at the cut-in: that of the line pumps alone
    };
    /// Two neighbouring heads of a combination, and the share of the upper one.
    struct Pair {
        const Cell& low;
        const Cell& high;
        double share = 0;
        double between(double at_low, double at_high) const noexcept {
            return at_low + share * (at_high - at_low);
        }
    };

    Cell cell_of(const SteadyFlow& flow, std::uint8_t line_pumps, double static_head_m) const noexcept;
    bool moves(const Settings& settings) const noexcept;
    double after_m3s(std::size_t line_pumps, double drive_hz, double measured_m, double before_m3s,
                     double elapsed_s, const Settings& settings) const noexcept;
    double static_m(double measured_m) const noexcept;
    double lift_m(std::size_t line_pumps, double drive_ratio, double measured_m) const noexcept;
    Pair pair_at(std::size_t line_pumps, double measured_m) const noexcept;

    std::array<std::array<Cell, heads>, pumps_max + 1> table_{};
    std::array<double, pumps_max + 1> flow_per_hz_{};
    PumpFlow pump_;
    StaticHead static_head_;
    double first_m_ = 0, last_m_ = 0;  ///< the lowest and the highest measured value of the table
    double low_m_ = 0;                 ///< the least static head of the table
    double per_step_ = 0;              ///< steps of the table for each metre of static head
    double minimum_flow_m3s_ = 0;      ///< at line frequency
    double minimum_flow_head_m_ = 0;   ///< at line frequency, behind the branch
    DriveSpeed drive_speed_;
    double speed_min_hz_ = 0, speed_max_hz_ = 0, highest_ratio_ = 0;
    bool main_counts_ = false;  ///< the main is part of the balance
};

}  // namespace freshet::core
