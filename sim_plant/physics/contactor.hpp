// One three-pole contactor: its operating times, its auxiliary contact, its failures.
// One reason to change: the behaviour of a contactor.
//
// Model. An order starts a movement that ends after closing_s or opening_s, plus or minus a uniform spread.
// Each movement draws its own spread. The poles move together. The auxiliary contact follows the true
// position unless a fault falsifies the contact. The line supplies the coil. When the coil loses its supply,
// or protection trips, the contactor opens. The contactor stays open until the order is withdrawn and given
// again (a latched control circuit), so that returning voltage never closes a contactor.
// Units: s. Valid: times from zero. A movement takes at least a millisecond.
// Source: common practice (three-wire control). The station file gives the times.
// Leaves out: pole scatter, bounce, arcing time, wear.
#pragma once

#include <limits>

#include "config/scenario.hpp"
#include "config/station.hpp"
#include "sim_plant/physics/noise.hpp"

namespace freshet::plant {

class Contactor {
  public:
    explicit Contactor(const config::Contactor& data) : data_(data) {}

    /// Follows an order. A new movement begins when the order differs from the position that the contactor
    /// has or moves to.
    void order(bool close, MachineNoise& noise);
    /// The coil loses its supply, or protection trips. The contactor opens and needs a new order afterwards.
    void fall_out(MachineNoise& noise);
    /// Time to the end of the present movement, s; infinite at rest.
    double movement_left_s() const { return moving_ ? left_s_ : std::numeric_limits<double>::infinity(); }
    /// Advances time. True when the main contacts changed at the end of this time.
    bool advance(double dt_s);
    /// Sets or clears does_not_close, does_not_open, closes_late (amount: delay in s), lies_closed,
    /// lies_open.
    void set_fault(config::FaultKind kind, bool active, double amount);

    bool closed() const { return closed_; }
    bool moving() const { return moving_; }
    bool auxiliary_closed() const { return lies_closed_ || (closed_ && !lies_open_); }

  private:
    void begin(bool close, MachineNoise& noise);

    config::Contactor data_;
    double left_s_ = 0, late_s_ = 0;
    bool closed_ = false, ordered_ = false, target_ = false, moving_ = false, latched_out_ = false;
    bool does_not_close_ = false, does_not_open_ = false, lies_closed_ = false, lies_open_ = false;
};

}  // namespace freshet::plant
