// The volume balance as a witness: how much water is surely left, and which transmitter contradicts the other
// witnesses.
// One reason to change: when a transmitter with a sound loop is not believed, or is believed again.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

#include "controller/core/floats.hpp"
#include "controller/core/need.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/signals.hpp"
#include "controller/core/table_order.hpp"

namespace freshet::core {

/// When a contradicted transmitter is believed again. Each `yes` is enough by itself, except that neither the balance
/// nor time clears a transmitter that the other, good transmitter opposes. A transmitter whose loop failed and
/// returned starts afresh.
struct ContradictionRow {
    Contradiction code;
    bool by_other;  ///< the other transmitter agrees within `disagreement`, also after a jump together
    bool by_calling_float;   ///< the float that calls has operated, and the reading is past the stage-up mark
    bool by_stopping_float;  ///< the float that stops has operated, and the reading is past the stop mark
    bool by_balance;         ///< the reading is where the volume balance expects the water
    bool by_time;            ///< the reading was plausible for `plausible_alone_ms`, and no float opposed it
};

inline constexpr std::array<ContradictionRow, static_cast<std::size_t>(Contradiction::count)> contradictions{{
    {Contradiction::none, false, false, false, false, false},
    {Contradiction::jumped, true, true, true, true, true},
    {Contradiction::fell, true, true, true, false, true},
    {Contradiction::by_float, true, false, true, false, false},
    {Contradiction::below_float, true, true, false, false, false},
}};

namespace audit {
static_assert(is_in_order(contradictions, &ContradictionRow::code),
              "every contradiction needs its row, in order");
static_assert(!contradictions[static_cast<std::size_t>(Contradiction::by_float)].by_time &&
                  !contradictions[static_cast<std::size_t>(Contradiction::below_float)].by_time,
              "time alone does not clear a transmitter that a float has convicted");
}  // namespace audit

/// How long a lone reading must be plausible. Floats serve a station that has floats so well meanwhile that
/// there is no hurry.
inline constexpr std::int64_t plausible_alone_ms_with_floats = 600'000, plausible_alone_ms = 60'000;

/// The flows of the store, as the balance of one second sees them.
struct StoreFlows {
    bool outflow_known = false;  ///< every contactor and the speed of the drive are read
    double outflow_m3s = 0;      ///< of the pumps by their curves, and over the weir of a well
    bool inflow_known = false;
    double inflow_m3s = 0;  ///< last known
};

/// The memory of the balance as a witness.
struct WaterWitness {
    double sure_m3 = 0;     ///< water above the stop mark that the pumps cannot have taken yet
    double foretold_m = 0;  ///< sum of the changes of the need that the balance expects
    /// The need that the balance expects, from the last good value or the last float that operated.
    double reckoned_need_m = 0;
    /// Both floats operated, and the transmitters agreed with one of them: the other float is not believed until
    /// that float returns. Two transmitters that agree on no water also disprove the float that calls.
    bool stop_disproved = false, call_disproved = false;
    bool call_unforeseen = false;  ///< the float that calls rose before the balance expected so much water
    std::int64_t renewed_ms = never_ms;
    std::int64_t float_against_ms = never_ms;   ///< since when the float stops pumps against the transmitters
    std::int64_t float_returned_ms = never_ms;  ///< when the float last returned from such a stop
    std::int64_t call_against_ms = never_ms;    ///< since when the float calls against the transmitters
    std::int64_t call_returned_ms = never_ms;   ///< when the float last returned from such a call

    FloatCredit credit() const noexcept { return {sure_m3 > 0 || stop_disproved, call_disproved}; }
};

/// Renews the witness and judges every level transmitter, once a second.
void judge_contradictions(WaterWitness& witness, SignalRecords& signals, const Floats& floats,
                          const Picture& picture, double need_m, const StoreFlows& flows,
                          const NeedMarks& marks, const Settings& settings) noexcept;

}  // namespace freshet::core
