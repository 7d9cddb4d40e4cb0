// The shared variable-frequency drive: speed control by ramps, start and trip, losses, and its synchroniser.
// One reason to change: how the drive behaves.
//
// Model, in speed control:
//   the output frequency follows the reference by the drive's ramps;
//   the voltage keeps rated volts per hertz, and the drive makes up the stator's resistive drop, so that a
//   motor has rated flux at every frequency;
//   the current limit bounds the torque: it holds or lowers the frequency;
//   loss at an output power P is P (1/eta - 1), with straight lines between the efficiency points and a
//   constant below the first.
// A trip locks the drive for restart_lock_s, and until the order to run is withdrawn. When the order to run
// is withdrawn, the output is blocked at once and the motor coasts.
// Flying start: the drive searches for a second, then its output begins at the turning motor's frequency.
// Without a flying start, a motor that still turns faster than 3 Hz trips the drive.
// Units: Hz, V line to line rms, W, s. Valid: 0 to frequency_max_hz.
// Source: IEC 61800-2 vocabulary (ramps, current limit), from memory; efficiency by load: DOE Motor Systems
//   Tip Sheet 11 (DOE/GO-102012-3730, November 2012).
// Leaves out: switching ripple, the direct-current link's dynamics, regeneration (braking is by
// ramp only).
#pragma once

#include <array>
#include <cstdint>

#include "config/scenario.hpp"
#include "config/station.hpp"
#include "sim_plant/physics/line.hpp"
#include "sim_plant/physics/synchroniser.hpp"

namespace freshet::plant {

/// Cycles less the nearest whole number of them; within 2^51 cycles. Adding and taking away 1.5 x 2^52 rounds
/// to nearest.
inline double within_half_a_turn(double cycles) {
    constexpr double rounder = 0x1.8p52;
    return cycles - ((cycles + rounder) - rounder);
}

class Drive {
  public:
    Drive(const config::Drive& data, double motor_v, double motor_hz, double motor_w);

    /// Follows the orders; `turning_hz` is the electrical speed of a motor already connected, 0 at rest or
    /// none.
    void order(bool run, bool synchronise, double reference_hz, double turning_hz, const Line& line);
    /// A new speed reference, Hz; nothing else has changed.
    void refer(double reference_hz) {
        if (reference_lost_) return;
        const double most = data_.frequency_max_hz;
        reference_hz_ = reference_hz < 0 ? 0 : (reference_hz > most ? most : reference_hz);
    }
    /// Frequency's rate for the coming step in speed control, given what torque the current limit leaves,
    /// Hz/s.
    double ramp_hz_s(double per_step, double rate_max_hz_s) const {
        const double to_go = (reference_hz_ - frequency_hz_) * per_step;
        double rate = to_go > data_.ramp_up_hz_s ? data_.ramp_up_hz_s : to_go;
        rate = rate < -data_.ramp_down_hz_s ? -data_.ramp_down_hz_s : rate;
        rate = rate > rate_max_hz_s ? rate_max_hz_s : rate;
        const double to_nothing = -frequency_hz_ * per_step;
        return rate < to_nothing ? to_nothing : rate;
    }
    /// A settled step in speed control.
    void advance_ramp(double dt_s, double rate_hz_s) {
        if (!energised()) return;
        const double begin_hz = frequency_hz_;
        frequency_hz_ += rate_hz_s * dt_s;
        voltage_v_ = volts_per_hertz_ * frequency_hz_;
        turn(begin_hz, dt_s);
    }
    /// A step in synchronism: the phase loop, or the ramp towards its capture range.
    void advance_synchronising(double dt_s, const Line& line);

    void trip();
    /// trip, never_in_sync (amount: degrees off, 0 means 40), slips_out_of_sync (amount: Hz, 0 means 0.3),
    /// loses_reference (amount: Hz it falls back to, 0: holds the last), not_ready.
    void set_fault(config::FaultKind kind, bool active, double amount);
    /// After each passing of time while `waiting`: a lock that has run out, a search that has found
    /// `turning_hz`.
    void watch_lock(bool supply_healthy, double turning_hz);

    bool ready() const { return !tripped_ && !not_ready_ && supply_healthy_; }
    bool running() const { return running_; }
    bool tripped() const { return tripped_; }
    bool in_sync() const { return running_ && synchronising_ && synchroniser_.in_sync(); }
    bool synchronising() const { return running_ && synchronising_; }
    bool searching() const { return search_left_s_ > 0; }
    /// Output voltage present: running, and past a search.
    bool energised() const { return running_ && search_left_s_ <= 0; }
    /// A lock or a search is running out: `pass_time` must see every step.
    bool waiting() const { return lock_left_s_ > 0 || search_left_s_ > 0; }
    void pass_time(double dt_s) {
        lock_left_s_ -= lock_left_s_ > 0 ? dt_s : 0;
        search_left_s_ -= search_left_s_ > 0 ? dt_s : 0;
    }
    double frequency_hz() const { return frequency_hz_; }
    double voltage_v() const { return voltage_v_; }
    double cycles() const { return cycles_; }
    /// Lead over the line, cycles in (-0.5, 0.5].
    double ahead_cycles(const Line& line) const { return within_half_a_turn(cycles_ - line.cycles()); }
    /// Loss at an output power, W.
    double loss_w(double output_w) const {
        const double x = output_w * loss_scale_;
        const double clipped = x < 0 ? 0 : (x > loss_last ? loss_last : x);
        const auto i = static_cast<std::size_t>(clipped);
        return loss_[i] + (loss_[i + 1] - loss_[i]) * (clipped - static_cast<double>(i));
    }

  private:
    /// The angle by the mean of the frequency before and the present one.
    void turn(double begin_hz, double dt_s) {
        cycles_ += (begin_hz + frequency_hz_) * 0.5 * dt_s;
        constexpr double many = 64;
        if (cycles_ > many) cycles_ -= many;
    }
    void start(double turning_hz);
    void stop();

    static constexpr std::size_t loss_nodes = 34;
    static constexpr double loss_last = loss_nodes - 1.000001;

    config::Drive data_;
    Synchroniser synchroniser_;
    double volts_per_hertz_;
    double frequency_hz_ = 0, voltage_v_ = 0, cycles_ = 0, reference_hz_ = 0;
    double lock_left_s_ = 0, search_left_s_ = 0;
    double loss_scale_ = 0;
    std::array<double, loss_nodes + 1> loss_{};
    bool run_ordered_ = false, running_ = false, tripped_ = false, synchronising_ = false, captured_ = false,
         searching_ = false;
    bool not_ready_ = false, trip_fault_ = false, reference_lost_ = false, supply_healthy_ = true;
};

}  // namespace freshet::plant
