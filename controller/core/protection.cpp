// Protective stops; see the header.
#include "controller/core/protection.hpp"

namespace freshet::core {

void protect(SequencerState& sequencer, const Sight& sight, const StationPermit& permit,
             const Settings& settings, Journal& journal) noexcept {
    const std::int64_t now_ms = sight.picture.time_ms;
    if (sight.picture.emergency_stop)
        stop_all(sequencer, Permissive::emergency_stop, Reason::emergency_stop, {}, now_ms, journal);
    if (permit.low_cutoff)
        stop_all(sequencer, Permissive::low_cutoff, Reason::low_cutoff,
                 {sight.measured().value_m, settings.marks.low_cutoff_m, 0, 0}, now_ms, journal);
    if (permit.low_float)
        stop_all(sequencer, Permissive::low_cutoff,
                 settings.action == Action::direct ? Reason::low_float : Reason::high_float, {}, now_ms,
                 journal);
    if (permit.supply_poor) stop_all(sequencer, Permissive::supply, Reason::supply_lost, {}, now_ms, journal);
}

}  // namespace freshet::core
