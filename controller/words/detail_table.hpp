// Which table of words a code in an event is of: the event's detail, and a coded value of its reason. Writers
// and readers of a journal walk the same tables.
// One reason to change: a kind of event, or a unit of coded values, that comes or goes.
#pragma once

#include <array>

#include "controller/core/reasons.hpp"
#include "controller/words/alarms.hpp"
#include "controller/words/reasons.hpp"
#include "controller/words/sequences.hpp"
#include "controller/words/states.hpp"
#include "controller/words/witness_document.hpp"

namespace freshet::words {

/// Words of an auxiliary contact; the code is its number in a value.
inline constexpr std::array<Word<std::uint8_t>, 2> contacts{{{0, "open", "open"}, {1, "closed", "closed"}}};
static_assert(complete(contacts, 2));

/// What `use` gives for the table that the `detail` of an event is a code of; `Result{}` where `what` is no
/// kind of event. `of_pump`: the event names a pump.
template <class Result, class Use>
constexpr Result with_detail_table(core::EventKind what, bool of_pump, const Use& use) {
    switch (what) {
        case core::EventKind::sequence_begun:
        case core::EventKind::sequence_done:
        case core::EventKind::sequence_withdrawn:
        case core::EventKind::pump_chosen:
            return use(sequences);
        case core::EventKind::step_entered:
            return use(steps);
        case core::EventKind::pump_state:
            return use(pump_states);
        case core::EventKind::service:
            return use(services);
        case core::EventKind::measured_quality:
            return use(qualities);
        case core::EventKind::alarm_raised:
        case core::EventKind::alarm_returned:
        case core::EventKind::alarm_acknowledged:
        case core::EventKind::alarm_shelved:
        case core::EventKind::alarm_unshelved:
        case core::EventKind::alarm_out_of_service:
        case core::EventKind::alarm_in_service:
            return of_pump ? use(pump_alarms) : use(station_alarms);
        case core::EventKind::protective_stop:
        case core::EventKind::refused:
        case core::EventKind::limit_yielded:
        case core::EventKind::emergency_stop_reset:
        case core::EventKind::reset_refused:
            return use(permissives);
        case core::EventKind::water_mode:
            return use(water_modes);
        case core::EventKind::count:
            break;
    }
    return {};
}

/// What `use` gives for the table that a value of a unit is a code of; `Result{}` for a unit of numbers.
template <class Result, class Use>
constexpr Result with_value_table(Unit unit, const Use& use) {
    switch (unit) {
        case Unit::contact:
            return use(contacts);
        case Unit::permissive:
            return use(permissives);
        case Unit::quality_cause:
            return use(quality_causes);
        case Unit::vote:
            return use(vote_rows);
        case Unit::contradiction:
            return use(contradiction_rows);
        default:
            return {};
    }
}

}  // namespace freshet::words
