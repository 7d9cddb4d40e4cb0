// Digests of advice and events; see the header.
#include "tests/golden/advice_digest.hpp"

#include <bit>

namespace freshet::golden {

namespace {

std::uint64_t word_of(double value) noexcept {
    constexpr std::uint64_t not_a_number = 0x7FF8'0000'0000'0000ULL;
    return value == value ? std::bit_cast<std::uint64_t>(value) : not_a_number;
}
std::uint64_t word_of(std::int64_t value) noexcept {
    return static_cast<std::uint64_t>(value);
}
template <class Code>
std::uint64_t code_of(Code code) noexcept {
    return static_cast<std::uint64_t>(code);
}

void mix_marks(std::uint64_t& digest, const core::AlarmMarks& marks) noexcept {
    for (const std::uint32_t word : {marks.shelved, marks.out_of_service, marks.suppressed, marks.first_out})
        mix(digest, word);
}

void mix_pump(std::uint64_t& digest, const core::Advice& advice, std::size_t pump) noexcept {
    const core::PumpAdvice& one = advice.pumps[pump];
    const core::PumpFigures& figures = advice.figures[pump];
    mix(digest,
        code_of(one.drive_side_close) | code_of(one.line_side_close) << 1U | code_of(one.state) << 2U);
    mix(digest, advice.pump_alarms[pump]);
    mix(digest, advice.pump_alarms_unacknowledged[pump]);
    mix_marks(digest, advice.pump_alarm_marks[pump]);
    mix(digest, word_of(figures.run_ms));
    mix(digest, figures.starts);
    mix(digest, figures.line_starts);
    mix(digest, figures.starts_last_hour);
}

}  // namespace

void mix(std::uint64_t& digest, std::uint64_t word) noexcept {
    constexpr std::uint64_t prime = 0x0000'0100'0000'01B3ULL;
    constexpr int turn = 29;
    digest = std::rotl((digest ^ word) * prime, turn);
}

void mix_advice(std::uint64_t& digest, const core::Advice& advice) noexcept {
    mix(digest, word_of(advice.time_ms));
    mix(digest, advice.scan_count);
    mix(digest, code_of(advice.drive_run) | code_of(advice.synchronise) << 1U |
                    code_of(advice.output_close) << 2U | code_of(advice.events_lost) << 3U);
    mix(digest, word_of(advice.speed_hz));
    mix(digest, code_of(advice.sequence) | code_of(advice.step) << 8U | code_of(advice.sequence_pump) << 16U |
                    code_of(advice.drive_pump) << 24U | code_of(advice.pumps_on_line) << 32U |
                    code_of(advice.service) << 40U);
    mix(digest, code_of(advice.next.intention) | code_of(advice.next.pump) << 8U |
                    code_of(advice.next.reason) << 16U);
    mix(digest, word_of(std::int64_t{advice.next.countdown_ms}));
    mix(digest, code_of(advice.measured_quality) | code_of(advice.measured_cause) << 8U);
    for (const core::TransmitterState& one : advice.transmitters)
        mix(digest, code_of(one.quality) | code_of(one.cause) << 8U);
    for (const double value : {advice.measured_m, advice.setpoint_m, advice.demand_hz, advice.minimum_flow_hz,
                               advice.inflow_m3s, advice.pumped_m3s})
        mix(digest, word_of(value));
    mix(digest, advice.station_alarms);
    mix(digest, advice.station_alarms_unacknowledged);
    mix_marks(digest, advice.station_alarm_marks);
    for (std::size_t pump = 0; pump < core::pumps_max; ++pump) mix_pump(digest, advice, pump);
}

std::uint64_t digest_of_event(const core::Event& event, std::int64_t time_ms) noexcept {
    std::uint64_t digest = 0;
    mix(digest, word_of(time_ms));
    mix(digest, event.number);
    mix(digest, event.cause_number);
    mix(digest, code_of(event.what) | code_of(event.detail) << 8U | code_of(event.pump) << 16U |
                    code_of(event.why) << 24U);
    for (const double value : event.values) mix(digest, word_of(value));
    return digest;
}

}  // namespace freshet::golden
