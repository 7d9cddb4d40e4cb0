// Brings the drive's output to the frequency, voltage and angle of a line that wanders.
// One reason to change: how the drive matches the line, or when the drive reports that it is in sync.
//
// Phase loop, with c the drive's lead in cycles and a the slew limit: the wanted slip is
//   -sign(c) min(K |c|, sqrt(1.2 a |c|), slip_max).
// The square root is the braking curve that a slew-limited frequency can follow. The linear part is the end
// of this curve. The drive's frequency follows the measured line frequency plus the wanted slip, and
// changes at the rate a at most. The line's frequency is measured with a lag of 0.1 s. The voltage slews to
// the line's voltage at 5 % of rated a second.
// The drive reports in sync when angle, slip and voltage have been inside the drive's window for the hold
// time. The drive withdraws the report at once when angle, slip or voltage leaves the window.
// Units: Hz, V line-to-line rms, cycles in (-0.5, 0.5], s. Valid: steps up to 20 ms; slew 0.02 to 2 Hz/s.
// Source: time-optimal control of a double integrator: A. E. Bryson and Y.-C. Ho, Applied Optimal Control,
// 1975, section 3.9, from memory; window: the three quantities of device 25.
// Leaves out: measurement noise of the angle, the drive's current loop.
#pragma once

namespace freshet::plant {

struct SynchroniserSettings {
    double slew_hz_s = 0.2, window_deg = 5, hold_s = 0.2, rated_v = 0;
};

struct SynchroniserView {
    double line_hz = 0, line_v = 0, ahead_cycles = 0;
};

/// The phase loop acts within this distance from the line's frequency. Beyond this distance the drive ramps.
inline constexpr double capture_hz = 0.5;
inline constexpr double claim_slip_max_hz = 0.1;
inline constexpr double claim_voltage_max_ratio = 0.03;

class Synchroniser {
  public:
    explicit Synchroniser(const SynchroniserSettings& settings) : settings_(settings) {}

    /// Starts the phase loop and the measurement of the line's frequency. The drive is not reported in sync
    /// yet.
    void engage(double line_hz);
    void release() {
        in_sync_ = false;
        within_s_ = 0;
    }
    /// One step of the loop: changes the drive's frequency and voltage, and judges whether the drive is in
    /// sync.
    void advance(double dt_s, const SynchroniserView& view, double& drive_hz, double& drive_v);
    bool in_sync() const { return in_sync_; }

    /// The loop settles at this distance from the line's angle and never reaches its window. Zero: healthy.
    void set_bias_cycles(double bias) { bias_cycles_ = bias; }
    /// The loop does not hold the angle and runs at this slip. Zero: healthy.
    void set_escape_hz(double escape) { escape_hz_ = escape; }

  private:
    SynchroniserSettings settings_;
    double measured_hz_ = 0, within_s_ = 0, bias_cycles_ = 0, escape_hz_ = 0;
    bool in_sync_ = false;
};

}  // namespace freshet::plant
