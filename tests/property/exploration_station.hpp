// The small station of the exploration: how it follows the advice, and how it may deviate.
// One reason to change: a deviation.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "controller/core/advice.hpp"
#include "controller/core/inputs.hpp"
#include "tests/property/exploration_state.hpp"

namespace freshet::exploration {

using core::Advice;
using core::Inputs;

/// The kinds of deviation. Contactors are numbered: output, then drive side and line side of each pump.
enum class Kind : std::uint8_t {
    none,
    late,      // a contactor does not move in this scan
    pretends,  // a contactor does not move, and shows that it did
    lies,      // a contact shows the opposite of its state
    silent,    // a contact is not read
    drive_trips,
    drive_not_ready,
    drive_disobeys,  // the drive does not run or stop as advised, or drops out
    speed_lags,
    not_in_sync,
    claims_alone,  // the drive claims to be in sync, our check does not agree
    checks_alone,  // our check agrees, the drive does not claim to be in sync
    line_dips,     // shorter than a lost supply
    supply_lost,
    link_lost,
    emergency_stop,
    pump_trips,
    selector_off,
    current_missing,
    reset,  // a person resets the emergency stop
    count
};

struct Deviation {
    Kind kind = Kind::none;
    std::uint8_t where = 0;  ///< contactor or pump
};
using Deviations = std::array<Deviation, 2>;

inline bool is_of_contactor(Kind kind) {
    return kind >= Kind::late && kind <= Kind::silent;
}
inline bool is_of_pump(Kind kind) {
    return kind >= Kind::pump_trips && kind <= Kind::current_missing;
}

bool occurs(const Deviations& deviations, Kind kind, std::size_t where = 0);

/// Fills `list` with every deviation that is possible in the next scan. Of several pumps in equal states only
/// the first deviates. `before` is the advice that the station follows. `stopped`: an emergency stop was
/// operated and nobody has reset it.
void list_deviations(const Key& key, const Station& was, const Advice& before, std::uint8_t pumps,
                     bool stopped, std::vector<Deviation>& list);

/// The station after one scan in which the station followed the advice, and whether drive and line are then
/// in sync.
Station moved(const Station& was, const Advice& before, const Deviations& deviations, std::uint8_t pumps,
              bool& in_sync);

/// Writes the readings of the station into the inputs of the next scan.
void show(const Station& station, const Deviations& deviations, bool in_sync, std::uint8_t pumps, Inputs& in);

/// The deviations in words, each with a space before it.
std::string named(const Deviations& deviations);

}  // namespace freshet::exploration
