// Laws 9 and 10: every change has its event, and every event its number, reason and cause.
// One reason to change: a law about events.
#include "tests/property/laws_case.hpp"

namespace freshet::laws {

using core::Event;
using core::EventKind;
using core::Reason;

namespace {

/// The changes of one scan that have an event, a bit per pump.
struct Accounts {
    std::uint8_t pumps_moved = 0;   ///< an event names a step or a state of the pump
    std::uint8_t pumps_stated = 0;  ///< an event names a state of the pump
    bool sequence = false, service = false, quality = false;
};

Accounts accounts_of(const Case& at) {
    Accounts accounts;
    for (std::size_t i = 0; i < at.advice.event_count; ++i) {
        const Event& event = at.advice.events[i];
        if (event.why == Reason::none) at.breaks(9, "event %u has no reason", event.number);
        const bool of_pump = event.pump < at.settings.pump_count;
        const auto mask = static_cast<std::uint8_t>(of_pump ? 1U << event.pump : 0U);
        switch (event.what) {
            case EventKind::step_entered:
                accounts.sequence = true;
                accounts.pumps_moved = static_cast<std::uint8_t>(accounts.pumps_moved | mask);
                break;
            case EventKind::pump_state:
                accounts.pumps_moved = static_cast<std::uint8_t>(accounts.pumps_moved | mask);
                accounts.pumps_stated = static_cast<std::uint8_t>(accounts.pumps_stated | mask);
                break;
            case EventKind::sequence_begun:
            case EventKind::sequence_done:
            case EventKind::sequence_withdrawn:
                accounts.sequence = true;
                break;
            case EventKind::service:
                accounts.service = true;
                break;
            case EventKind::measured_quality:
                accounts.quality = true;
                break;
            default:
                break;
        }
    }
    return accounts;
}

/// The event is about an alarm: raised, returned to normal, or changed by an operator.
bool is_of_alarm(EventKind what) {
    return what == EventKind::alarm_raised || what == EventKind::alarm_returned ||
           what == EventKind::alarm_acknowledged || what == EventKind::alarm_shelved ||
           what == EventKind::alarm_unshelved || what == EventKind::alarm_out_of_service ||
           what == EventKind::alarm_in_service;
}

void law_9_alarms(const Case& at, std::uint32_t changed, std::uint8_t pump) {
    for (std::size_t i = 0; i < at.advice.event_count; ++i) {
        const Event& event = at.advice.events[i];
        if (is_of_alarm(event.what) && event.pump == pump) changed &= ~(1U << event.detail);
    }
    if (changed != 0)
        at.breaks(9, "alarms of pump %d changed without an event, bits %u", pump == no_pump ? 0 : pump + 1,
                  changed);
}

bool is_start(const Event& event) {
    const auto sequence = static_cast<core::Sequence>(event.detail);
    return event.what == EventKind::sequence_begun &&
           (sequence == core::Sequence::start_on_drive || sequence == core::Sequence::line_start);
}

/// Every start names why its pump was chosen, and every choice belongs to a start of the same scan.
void law_9_choices(const Case& at) {
    int starts = 0, choices = 0;
    for (std::size_t i = 0; i < at.advice.event_count; ++i) {
        const Event& event = at.advice.events[i];
        starts += is_start(event) ? 1 : 0;
        if (event.what != EventKind::pump_chosen) continue;
        ++choices;
        bool belongs = false;
        for (std::size_t j = 0; j < i; ++j) {
            const Event& start = at.advice.events[j];
            belongs |= start.number == event.cause_number && is_start(start) && start.pump == event.pump &&
                       start.detail == event.detail;
        }
        if (!belongs) at.breaks(9, "the choice of event %u belongs to no start", event.number);
    }
    if (starts != choices) at.breaks(9, "%d starts have %d choices", starts, choices);
}

}  // namespace

void law_9(const Case& at) {
    if (at.now == at.was && at.advice.event_count == 0) return;
    const Accounts accounts = accounts_of(at);
    law_9_choices(at);
    const Advised& was = at.was;
    const Advised& now = at.now;
    for (std::size_t p = 0; p < at.settings.pump_count; ++p) {
        const bool contactors = bit(
            static_cast<std::uint8_t>((was.drive_side ^ now.drive_side) | (was.line_side ^ now.line_side)),
            p);
        if (contactors && !bit(accounts.pumps_moved, p))
            at.breaks(9, "contactors of pump %d changed without an event", static_cast<int>(p) + 1);
        if (was.state[p] != now.state[p] && !bit(accounts.pumps_stated, p))
            at.breaks(9, "state of pump %d changed without an event", static_cast<int>(p) + 1);
        const int alarms = (was.pump_alarms[p] ^ now.pump_alarms[p]) |
                           (was.pump_unacknowledged[p] ^ now.pump_unacknowledged[p]);
        law_9_alarms(at, static_cast<std::uint32_t>(alarms), static_cast<std::uint8_t>(p));
    }
    const bool drive = was.drive_run != now.drive_run || was.synchronise != now.synchronise ||
                       was.output_close != now.output_close || was.drive_pump != now.drive_pump;
    const bool place =
        was.sequence != now.sequence || was.step != now.step || was.sequence_pump != now.sequence_pump;
    if (drive && accounts.pumps_moved == 0) at.breaks(9, "advice to the drive changed without an event");
    if (place && !accounts.sequence) at.breaks(9, "the step changed without an event");
    if (was.service != now.service && !accounts.service) at.breaks(9, "the service changed without an event");
    if ((was.quality != now.quality || was.cause != now.cause) && !accounts.quality)
        at.breaks(9, "the quality of the measured value changed without an event");
    law_9_alarms(
        at,
        (was.station_alarms ^ now.station_alarms) | (was.station_unacknowledged ^ now.station_unacknowledged),
        no_pump);
}

void law_10(const Case& at) {
    if (at.advice.events_lost) at.breaks(10, "events were lost, %d were kept", at.advice.event_count);
    std::array<int, core::pumps_max> entered{};
    std::array<int, core::pumps_max> admitted{};
    admitted.fill(1);
    std::uint32_t number = at.history.last_event;
    for (std::size_t i = 0; i < at.advice.event_count; ++i) {
        const Event& event = at.advice.events[i];
        if (event.number != ++number)
            at.breaks(10, "event has the number %u instead of %u", event.number, number);
        if (event.cause_number >= event.number)
            at.breaks(10, "event %u names the later event %u as its cause", event.number, event.cause_number);
        if (event.what == EventKind::protective_stop)
            for (int& most : admitted) ++most;
        if (event.pump >= at.settings.pump_count) continue;
        if (event.what == EventKind::step_entered) ++entered[event.pump];
        if (event.what == EventKind::sequence_begun) ++admitted[event.pump];
    }
    at.history.last_event = number;
    for (std::size_t p = 0; p < at.settings.pump_count; ++p)
        if (entered[p] > admitted[p])
            at.breaks(10, "pump %d entered %d steps in one scan", static_cast<int>(p) + 1, entered[p]);
}

}  // namespace freshet::laws
