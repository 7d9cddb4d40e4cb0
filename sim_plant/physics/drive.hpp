// The shared variable-frequency drive: speed control by ramps, start and trip, losses, and its synchroniser.
// One reason to change: how the drive behaves.
//
// Model, in speed control:
//   The output frequency follows the reference by the drive's ramps.
//   The voltage keeps the rated volts per hertz. The drive compensates the stator's resistive drop, so that a
//   motor has rated flux at every frequency.
//   The current limit bounds the torque, and therefore holds or lowers the frequency.
//   The loss at an output power P is P (1/eta - 1), eta with straight lines between the efficiency points and
//   constant below the first.
// A trip locks the drive for restart_lock_s, and until the order to run is withdrawn. When the order to run
// is withdrawn, the drive blocks its output at once and the motor coasts.
// Flying start: the drive searches for a second, and then its output begins at the turning motor's frequency.
// Without a flying start, a motor that turns faster than 3 Hz trips the drive.
// Units: Hz, V line to line rms, W, s. Valid: 0 to frequency_max_hz.
// Source: IEC 61800-2 vocabulary (ramps, current limit), from memory; efficiency by load: DOE Motor Systems
//   Tip Sheet 11 (DOE/GO-102012-3730, November 2012).
// Leaves out: switching ripple, the dynamics of the direct-current link, regeneration (the drive brakes by
// its ramp only).
#pragma once

#include <array>
#include <cstdint>

#include "config/scenario.hpp"
#include "config/station.hpp"
#include "sim_plant/physics/line.hpp"
#include "sim_plant/physics/synchroniser.hpp"

namespace freshet::plant {

/// Distance from the nearest whole number of cycles; valid within 2^51 cycles. Adding and then subtracting
/// 1.5 x 2^52 rounds to the nearest whole number.
inline double within_half_a_turn(double cycles) {
    constexpr double rounder = 0x1.8p52;
    return cycles - ((cycles + rounder) - rounder);
}

class Drive {
  public:
    Drive(const config::Drive& data, double motor_v, double motor_hz, double motor_w);

    /// Follows the orders. `turning_hz` is the electrical speed of a motor that is connected already; 0 when
    /// the motor is at rest or no motor is connected.
    void order(bool run, bool synchronise, double reference_hz, double turning_hz, const Line& line);
    /// A new speed reference, Hz, without another change.
    void refer(double reference_hz) {
        if (reference_lost_) return;
        const double most = data_.frequency_max_hz;
        reference_hz_ = reference_hz < 0 ? 0 : (reference_hz > most ? most : reference_hz);
    }
    /// Rate of the frequency in the coming step of speed control, Hz/s, within the torque that the current
    /// limit permits.
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
    /// A step while synchronising: the phase loop, or the ramp towards the capture range of the loop.
    void advance_synchronising(double dt_s, const Line& line);

    void trip();
    /// Sets or clears trip, never_in_sync (amount: degrees off, 0 means 40), slips_out_of_sync (amount: Hz, 0
    /// means 0.3), loses_reference (amount: the fallback reference in Hz, 0: the last reference stays),
    /// not_ready.
    void set_fault(config::FaultKind kind, bool active, double amount);
    /// Call after each passing of time while `waiting`. Ends a lock whose time is over, and a search, which
    /// has then found `turning_hz`.
    void watch_lock(bool supply_healthy, double turning_hz);

    bool ready() const { return !tripped_ && !not_ready_ && supply_healthy_; }
    bool running() const { return running_; }
    bool tripped() const { return tripped_; }
    bool in_sync() const { return running_ && synchronising_ && synchroniser_.in_sync(); }
    bool synchronising() const { return running_ && synchronising_; }
    bool searching() const { return search_left_s_ > 0; }
    /// The output has voltage: the drive runs, and a search is over.
    bool energised() const { return running_ && search_left_s_ <= 0; }
    /// A lock or a search is under way. `pass_time` must then see every step.
    bool waiting() const { return lock_left_s_ > 0 || search_left_s_ > 0; }
    void pass_time(double dt_s) {
        lock_left_s_ -= lock_left_s_ > 0 ? dt_s : 0;
        search_left_s_ -= search_left_s_ > 0 ? dt_s : 0;
    }
    double frequency_hz() const { return frequency_hz_; }
    double voltage_v() const { return voltage_v_; }
    double cycles() const { return cycles_; }
    /// Lead over the line in cycles, (-0.5, 0.5].
    double ahead_cycles(const Line& line) const { return within_half_a_turn(cycles_ - line.cycles()); }
    /// Loss at an output power, W.
    double loss_w(double output_w) const {
        const double x = output_w * loss_scale_;
        const double clipped = x < 0 ? 0 : (x > loss_last ? loss_last : x);
        const auto i = static_cast<std::size_t>(clipped);
        return loss_[i] + (loss_[i + 1] - loss_[i]) * (clipped - static_cast<double>(i));
    }

  private:
    /// Advances the angle by the mean of the previous and the present frequency.
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
