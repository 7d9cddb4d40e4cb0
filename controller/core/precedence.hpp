// The order of precedence: which ground may override which, as a table.
// One reason to change: the row that a ground belongs to.
//
// Worst first. A row overrides every row below it, and no row overrides a row above it:
//
//   harm      immediate harm to people, motors, drive, supply or main; overrides everything
//   water     keep the water in, or the pressure up; overrides the rows below while the water is in danger
//   machines  spare the machines: rests, minimum runs, starts and transfers per hour, warnings
//   value     hold the measured value
//   energy    save energy
//
// The water is in danger while a float calls for pumps, while the value is past its high mark, and when the
// store is foreseen to rise halfway from the stage-up mark to the high mark. Nobody can override a row from
// here. People change a limit in the station file, or run a pump by hand at the station.
#pragma once

#include <array>
#include <cstddef>

#include "controller/core/reasons.hpp"

namespace freshet::core {

/// The rows, worst first.
enum class Precedence : std::uint8_t { harm, water, machines, value, energy, count };

/// A ground that refuses a start, a transfer or a stop, and the row that the ground belongs to.
struct PrecedenceRow {
    Permissive ground;
    Precedence row;
};

inline constexpr std::array<PrecedenceRow, static_cast<std::size_t>(Permissive::count)> precedence{{
    {Permissive::none, Precedence::energy},
    {Permissive::not_automatic, Precedence::harm},
    {Permissive::tripped, Precedence::harm},
    {Permissive::seal_leak, Precedence::machines},
    {Permissive::winding_hot, Precedence::harm},
    {Permissive::resting, Precedence::machines},
    {Permissive::starts_limit, Precedence::machines},
    {Permissive::residual_voltage, Precedence::harm},
    {Permissive::locked_out, Precedence::harm},
    {Permissive::contact_contradiction, Precedence::harm},
    {Permissive::emergency_stop, Precedence::harm},
    {Permissive::low_cutoff, Precedence::harm},
    {Permissive::data_bad, Precedence::harm},
    {Permissive::supply, Precedence::harm},
    {Permissive::transfers_limit, Precedence::machines},
    {Permissive::drive, Precedence::harm},
    {Permissive::spacing, Precedence::harm},
    {Permissive::pumps_limit, Precedence::harm},
    {Permissive::settling, Precedence::harm},
    {Permissive::minimum_run, Precedence::machines},
    {Permissive::succession, Precedence::harm},
    {Permissive::pressure_high, Precedence::harm},
    {Permissive::retry_pause, Precedence::harm},
    {Permissive::reset_awaited, Precedence::harm},
    {Permissive::drive_awaited, Precedence::harm},
}};

/// True when the ground gives way while the water is in danger.
constexpr bool yields_to_water(Permissive ground) noexcept {
    return precedence[static_cast<std::size_t>(ground)].row > Precedence::water;
}

namespace audit {
consteval bool every_ground_has_its_row() {
    for (std::size_t i = 0; i < precedence.size(); ++i)
        if (static_cast<std::size_t>(precedence[i].ground) != i) return false;
    return true;
}
static_assert(every_ground_has_its_row(), "every ground needs its row, in the order of the codes");
static_assert(!yields_to_water(Permissive::residual_voltage) && !yields_to_water(Permissive::succession),
              "the residual voltage and the maker's starting limits never yield");
}  // namespace audit

}  // namespace freshet::core
