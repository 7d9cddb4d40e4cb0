// The utility supply at the station's bus: wandering frequency and voltage, the angle, and the dip of the bus
// under load. One reason to change: how the supply behaves.
//
// Model: an ideal source E behind R + jX = V^2 / S_sc, X/R as given. The station is an admittance G - jB,
// from the powers of the previous step. The bus voltage is
//   |E| / |1 + (R + jX)(G - jB)|,
// which is exact for a motor at rest (constant impedance).
// Frequency and voltage wander as first-order noise with time constants of 20 s and 45 s. The noise is drawn
// once a second, and straight lines join the draws. The angle is the exact integral of the frequency.
// Units: V line-to-line rms, Hz, cycles (whole turns are dropped now and then).
// Valid: short-circuit power above ten times the start of the largest motor, so that the admittance of the
//   previous step is close enough. With less power the bus voltage still converges, because the
//   impedance of a start does not depend on V.
// Source: short-circuit ratio method for the dip at a motor start (T. Gonen, Electric Power Distribution
//   System Engineering, 1st ed. 1986, chapter 9). The station file gives the sizes of the wander.
// Leaves out: unbalance, harmonics, the network's own dynamics. The angle is the angle of the source. The
//   load shifts the bus by a small angle, which is the same for everything on the bus.
#pragma once

#include "config/scenario.hpp"
#include "config/station.hpp"
#include "sim_plant/physics/noise.hpp"

namespace freshet::plant {

/// Seconds between two draws of the wander.
inline constexpr double line_draw_every_s = 1;

class Line {
  public:
    Line(const config::Supply& supply, std::uint64_t seed);

    /// Advances time. The last `load` makes the bus dip. True once a second, when the caller may set a new
    /// load.
    bool advance(double dt_s) {
        until_draw_s_ -= dt_s;
        const bool drawn = until_draw_s_ <= 0;
        if (drawn) draw();
        const double begin_hz = frequency_hz_;
        frequency_hz_ += frequency_slope_ * dt_s;
        source_v_ += voltage_slope_ * dt_s;
        cycles_ += (begin_hz + frequency_hz_) * 0.5 * dt_s;
        voltage_v_ = source_v_ * bus_share_;
        return drawn;
    }
    /// Sets the power that the bus delivers, W and var. The load acts as an admittance at the present
    /// voltage.
    void load(double active_w, double reactive_var);

    double voltage_v() const { return voltage_v_; }
    double frequency_hz() const { return frequency_hz_; }
    double cycles() const { return cycles_; }
    bool live() const { return live_; }
    bool on_generator() const { return generator_; }

    /// Sets or clears dip (amount: fraction of voltage lost), wander (amount: standard deviation, Hz), lost,
    /// generator (amount: short-circuit power, VA; zero: a seventh of the utility's).
    void set_fault(config::FaultKind kind, bool active, double amount);

  private:
    void draw();
    void settle_source();

    config::Supply supply_;
    MachineNoise noise_;
    double frequency_hz_ = 0, source_v_ = 0, voltage_v_ = 0, cycles_ = 0;
    double frequency_slope_ = 0, voltage_slope_ = 0, until_draw_s_ = 0;
    double frequency_noise_hz_ = 0, voltage_noise_ = 0;
    double wander_hz_ = 0, dip_ = 0, generator_va_ = 0, bus_share_ = 1;
    double r_ohm_ = 0, x_ohm_ = 0, conductance_ = 0, susceptance_ = 0;
    bool live_ = true, lost_ = false, generator_ = false;
};

}  // namespace freshet::plant
