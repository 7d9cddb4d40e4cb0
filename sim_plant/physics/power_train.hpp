// The electrical side of the station in one step: line, drive, contactors, motors and their shafts.
// One reason to change: how those parts work together.
//
// Model. Orders reach the contactors at the beginning of a step. Contacts move at their exact instants inside
// the step. The step is divided into parts of at most 5 ms while contacts move, while the drive synchronises,
// or while a shaft is off its settled curve. Otherwise the step is not divided. A motor on drive and line
// together takes its power from the line. The current between drive and line is only judged
// (parallel_sources.hpp). When the bus voltage is below the contactors' drop-out for 20 ms, every contactor
// opens and the drive trips.
//
// Units: SI; V line-to-line rms; angles rad. Valid: steps of 1 ms to 1 s.
// Source: the header of each part names its source. The 20 ms: common practice.
// Leaves out: back-feeding of the drive bus through a motor's two contactors, regeneration into the line,
// torsion.
#pragma once

#include <array>
#include <cstdint>
#include <numbers>
#include <span>

#include "config/scenario.hpp"
#include "config/station.hpp"
#include "sim_plant/physics/closing_record.hpp"
#include "sim_plant/physics/contactor.hpp"
#include "sim_plant/physics/drive.hpp"
#include "sim_plant/physics/line.hpp"
#include "sim_plant/physics/motor.hpp"
#include "sim_plant/physics/noise.hpp"
#include "sim_plant/physics/orders.hpp"

namespace freshet::plant {

struct MotorState {
    double speed_rad_s = 0, current_a = 0, electrical_power_w = 0, torque_nm = 0;
    bool drive_side_closed = false, line_side_closed = false;  ///< true positions
    /// Positions that the auxiliary contacts show.
    bool drive_side_auxiliary = false, line_side_auxiliary = false;
    bool tripped = false;  ///< motor protection
    MotorMode mode = MotorMode::at_rest;
    double winding_temperature_k = 298.15;
};

struct PowerTrainState {
    double line_voltage_v = 0, line_frequency_hz = 0;
    double drive_voltage_v = 0, drive_frequency_hz = 0;
    double drive_ahead_rad = 0;  ///< lead of the drive over the line, -pi to pi
    bool drive_ready = true, drive_running = false, drive_tripped = false, drive_in_sync = false;
    bool output_closed = false, output_auxiliary = false;
    bool on_generator = false;
    double drive_current_a = 0, drive_input_w = 0, line_power_w = 0;
    std::array<MotorState, 8> motors{};
    double energy_j = 0;  ///< energy from the line, drive losses included
};

class PowerTrain {
  public:
    PowerTrain(const config::Station& station, std::uint64_t seed);

    /// Advances `dt_s`. `load_torque_nm`: each pump's shaft torque at its present speed.
    const PowerTrainState& step(double dt_s, const Orders& orders,
                                const std::array<double, 8>& load_torque_nm);
    const PowerTrainState& state() const { return state_; }
    /// Nothing moves, synchronises, searches or waits. A step may then be as long as a second.
    bool settled() const { return !unsettled_; }
    /// Closings of the last step, in order.
    std::span<const ClosingRecord> closings() const { return {closings_.data(), closing_count_}; }
    const MotorModel& model() const { return model_; }
    /// Pump speed divided by rated pump speed, per rad/s; rated: the motor at rated load.
    double rated_speed_rad_s() const { return rated_speed_rad_s_; }

    /// Faults. The header of the part gives the meaning of `amount`. The drive output does not use `pump`.
    void set_contactor_fault(ContactorAt where, std::size_t pump, config::FaultKind kind, bool active,
                             double amount = 0);
    void set_drive_fault(config::FaultKind kind, bool active, double amount = 0);
    void set_line_fault(config::FaultKind kind, bool active, double amount = 0);
    /// Motor protection or local trip. While active, both contactors of the pump are open and no order closes
    /// them.
    void set_pump_trip(std::size_t pump, bool active);
    /// While active, all contactors are open and the drive is stopped.
    void set_emergency_stop(bool active);

  private:
    struct Pair {
        Contactor drive_side, line_side;
    };
    /// The feed of a motor in a step, and the torque that the ramp of the feed needs.
    struct Supplied {
        double voltage_v = 0, frequency_hz = 0, flux = 1, accelerating_nm = 0;
    };
    /// The total draw of all motors in a step, and the events among them.
    struct Drawn {
        double line_w = 0, line_var = 0, drive_w = 0, drive_a = 0;
        bool moving = false, came_to_rest = false, in_parallel = false;
    };

    /// The angle by which the drive's output leads the line.
    double ahead_rad() const { return 2 * std::numbers::pi * drive_.ahead_cycles(line_); }
    void find_current_limit();
    void step_divided(double dt_s, const Orders& orders, const std::array<double, 8>& load_nm);
    void follow(const Orders& orders);
    void advance(double dt_s, const std::array<double, 8>& load_nm);
    double advance_drive(double dt_s, const std::array<double, 8>& load_nm);
    MotorDraw advance_fed(MotorShaft& shaft, double dt_s, const Supplied& by, double load_nm, bool& moved);
    Drawn advance_motors(double dt_s, const Supplied& by_line, const Supplied& by_drive,
                         const std::array<double, 8>& load_nm);
    void watch_parallel(double drive_v, double line_v);
    void advance_settled(double dt_s, const std::array<double, 8>& load_nm);
    bool settle(MotorShaft& shaft, MotorDraw& draw, double feed_hz, double flux) const;
    void renew(std::size_t pump, double load_nm);
    void renew_on_drive(std::size_t pump, double torque_nm);
    double least_ramp_room(const std::array<double, 8>& load_nm) const;
    bool plain();
    void move_contacts(double dt_s, double at_s);
    void rewire();
    void publish_slow();
    void record(ContactorAt where, std::size_t pump, double at_s);
    void fall_out_all();
    void watch_supply(double dt_s);
    void heat_windings();
    double turning_hz() const;
    bool settled_now() const;

    config::Station station_;
    std::size_t pump_count_;
    MotorModel model_;
    Line line_;
    Drive drive_;
    MachineNoise noise_;
    Contactor output_;
    std::array<Pair, 8> contactors_;
    std::array<MotorShaft, 8> shafts_{};
    std::array<double, 8> entry_speed_{};
    std::array<std::uint8_t, 8> active_{};
    std::array<std::uint8_t, 8> on_line_{};  ///< while plain: the motors on the line
    std::uint8_t active_count_ = 0, line_count_ = 0;
    static constexpr std::size_t no_pump = 8;
    std::size_t drive_pump_ = no_pump;
    std::array<bool, 8> pump_tripped_{};

    double rated_speed_rad_s_ = 0, limit_torque_nm_ = 0, trip_current_a_ = 0, drop_out_v_ = 0,
           parallel_x_ohm_ = 0;
    double line_var_ = 0, line_motors_w_ = 0, low_for_s_ = 0, flux_base_ = 0, hold_torque_nm_ = 0;
    double step_s_ = 0, per_step_ = 0;  ///< the present part of the step, and its inverse
    /// Torque per rate of change of the frequency, and the inverse.
    double impulse_per_hertz_ = 0, hertz_per_impulse_ = 0;
    double drive_motor_loss_w_ = 0, drive_loss_w_ = 0, drive_loss_at_w_ = 0, drive_hold_w_ = 0,
           drive_hold_torque_nm_ = 0, drive_held_torque_nm_ = 0;
    std::uint64_t pump_orders_[2] = {0, 0};
    std::uint8_t station_orders_ = 0xFF;
    bool unsettled_ = true, plain_ = false, emergency_ = false, low_handled_ = false;

    std::array<ClosingRecord, 24> closings_{};
    std::size_t closing_count_ = 0;
    PowerTrainState state_;
};

}  // namespace freshet::plant
