// The laws in order, and the history that they share; see the header.
#include "tests/property/laws.hpp"

#include "tests/property/laws_case.hpp"

namespace freshet::laws {

using core::Reason;

namespace {

/// Updates the last time at which each motor was energised. The laws need this time first.
void update_feeding(const Case& at) {
    const bool output_may = !at.off(at.in.drive.output_closed);
    const bool drive_may = !at.off(at.in.drive.running);
    const bool drive_feeds = at.on(at.in.drive.output_closed) && at.on(at.in.drive.running);
    for (std::size_t p = 0; p < at.settings.pump_count; ++p) {
        const core::PumpInputs& seen = at.in.pumps[p];
        PumpHistory& past = at.history.pumps[p];
        const bool may_be_fed =
            !at.off(seen.line_side_closed) || (!at.off(seen.drive_side_closed) && output_may && drive_may);
        if (may_be_fed) past.fed_ms = at.time_ms;
        const bool surely_fed =
            at.on(seen.line_side_closed) || (at.on(seen.drive_side_closed) && drive_feeds);
        // A motor that the advice fed until now counts as energised up to this scan, unless its contacts
        // exclude a source.
        if (surely_fed || (advised_fed(at.was, p) && may_be_fed)) past.seen_fed_ms = at.time_ms;
    }
}

/// The controller ends its waiting in this scan and takes over the station in its present state.
bool takes_over(const Advice& advice) {
    for (std::size_t i = 0; i < advice.event_count; ++i)
        if (advice.events[i].why == Reason::picture_consistent) return true;
    return false;
}

}  // namespace

int HourBook::within_hour(std::int64_t now_ms) const {
    const std::size_t most = count < kept ? count : kept;
    int within = 0;
    for (std::size_t i = 0; i < most; ++i) within += now_ms - at_ms[i] < hour_ms ? 1 : 0;
    return within;
}

Advised advised_in(const Advice& advice, std::size_t pump_count) {
    Advised advised;
    for (std::size_t p = 0; p < pump_count; ++p) {
        const core::PumpAdvice& pump = advice.pumps[p];
        advised.drive_side =
            static_cast<std::uint8_t>(advised.drive_side | (pump.drive_side_close ? 1U << p : 0U));
        advised.line_side =
            static_cast<std::uint8_t>(advised.line_side | (pump.line_side_close ? 1U << p : 0U));
        advised.state[p] = pump.state;
        advised.pump_alarms[p] = advice.pump_alarms[p];
        advised.pump_unacknowledged[p] = advice.pump_alarms_unacknowledged[p];
    }
    advised.drive_run = advice.drive_run;
    advised.synchronise = advice.synchronise;
    advised.output_close = advice.output_close;
    advised.sequence = advice.sequence;
    advised.step = advice.step;
    advised.sequence_pump = advice.sequence_pump;
    advised.drive_pump = advice.drive_pump;
    advised.service = advice.service;
    advised.quality = advice.measured_quality;
    advised.cause = advice.measured_cause;
    advised.station_alarms = advice.station_alarms;
    advised.station_unacknowledged = advice.station_alarms_unacknowledged;
    return advised;
}

void judge_scan(const Settings& settings, History& history, const Inputs& inputs, const Advice& advice,
                std::vector<Broken>& broken) {
    const Advised now = advised_in(advice, settings.pump_count);
    const Case at{settings, history, inputs, advice, history.before, now, broken, inputs.time_ms};
    const bool adopting = !history.adopted && takes_over(advice);
    history.adopted = history.adopted || adopting;
    update_feeding(at);
    if (history.adopted) {
        law_1(at);
        law_2(at, adopting);
        law_3(at);
        law_4(at);
        law_5(at);
        law_12(at);
        law_6(at, adopting);
        law_13(at);
        law_8(at);
        law_11(at, adopting);
        if (!history.first) law_9(at);
    }
    law_7(at, adopting || !history.adopted);
    law_14(at, adopting || !history.adopted);
    law_10(at);
    history.before = now;
    history.first = false;
}

}  // namespace freshet::laws
