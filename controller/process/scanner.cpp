// Does a scan, and the work before and after the scan.
// One reason to change: see the header.
#include "controller/process/scanner.hpp"

#include <bit>
#include <chrono>

#include <fmt/format.h>

#include "controller/core/signals.hpp"
#include "controller/record/trend_row.hpp"
#include "controller/words/states.hpp"

namespace freshet::controller_process {

namespace {

/// One line about the state of the station, for a service manager.
std::string status_of(const core::Advice& advice) {
    int alarms = std::popcount(advice.station_alarms);
    for (const std::uint16_t word : advice.pump_alarms) alarms += std::popcount(word);
    const std::string on_drive =
        advice.drive_pump == core::no_pump ? "no pump" : fmt::format("pump {}", advice.drive_pump + 1);
    std::string quality(words::word(advice.measured_quality).text);
    if (advice.measured_cause != core::Cause::none)
        quality.append(", ") += words::word(advice.measured_cause).text;
    return fmt::format("measured value {:.2f} m ({}), {} on the drive, {} on the line, alarms {}",
                       advice.measured_m, quality, on_drive, advice.pumps_on_line, alarms);
}

}  // namespace

Scanner::Scanner(const core::Settings& settings, const core::Retained* kept, const modbus::FieldPlan& plan,
                 const modbus::AdviceEncoder& encoder, modbus::AdviceBoard& board, modbus::ReadServer& server,
                 Companions companions)
    : controller_(settings, kept),
      decoder_(plan),
      encoder_(encoder),
      board_(board),
      server_(server),
      companions_(companions) {}

const core::Advice& Scanner::decide(const core::Inputs& read, const modbus::FieldSnapshot& snapshot) {
    const core::Inputs& inputs = snapshot.people ? bench_people_.attend(read, *snapshot.people) : read;
    if (companions_.orders == nullptr || last_ == nullptr) return controller_.scan(inputs);
    const core::OperatorInputs people = companions_.orders->next(*last_);
    if (!people.asks()) return controller_.scan(inputs);
    core::Inputs attended = inputs;
    attended.people = people;
    attended.people.acknowledge_all |= inputs.people.acknowledge_all;
    attended.people.reset_emergency_stop |= inputs.people.reset_emergency_stop;
    const core::Advice& advice = controller_.scan(attended);
    companions_.orders->answer(advice);
    return advice;
}

void Scanner::record(const core::Inputs& inputs, const core::Advice& advice) {
    if (!companions_.record->scanned(advice)) return;
    record::TrendRow row;
    record::set_from_advice(row, advice);
    row.header_head_m = inputs.header_pressure.reading.quality == core::Quality::good
                            ? inputs.header_pressure.reading.value
                            : record::TrendRow::none;
    row.drive_frequency_hz = inputs.drive.frequency_hz.quality == core::Quality::good
                                 ? inputs.drive.frequency_hz.value
                                 : record::TrendRow::none;
    row.line_voltage_v = inputs.line.voltage_v.quality == core::Quality::good ? inputs.line.voltage_v.value
                                                                              : record::TrendRow::none;
    for (std::size_t pump = 0; pump < controller_.settings().pump_count; ++pump) {
        const core::Analog& current = inputs.pumps[pump].current_a;
        if (current.quality == core::Quality::good) row.pump_current_a[pump] = current.value;
    }
    companions_.record->trend(row);
}

void Scanner::scan(const modbus::FieldSnapshot& snapshot, std::int64_t offset_ms, std::int64_t now_ms) {
    modbus::apply(snapshot, applied_batch_, offset_ms, decoder_);
    applied_batch_ = snapshot.batch;
    const core::Inputs& inputs = decoder_.inputs_at(now_ms);
    const core::Advice& advice = decide(inputs, snapshot);
    last_ = &advice;
    board_.publish(encoder_.encode(advice, core::measured_read_ms(inputs, settings())));
    server_.changed();
    counts_.add(advice);
    if (companions_.record != nullptr) record(inputs, advice);
    if (companions_.keeper != nullptr) companions_.keeper->offer(controller_.retained());
    if (companions_.notice != nullptr) {
        const auto now = service::Notice::Clock::now();
        companions_.notice->scan_completed(advice.measured_quality != core::Quality::bad, now);
        if (companions_.notice->wants_status(now)) companions_.notice->status(status_of(advice), now);
    }
}

std::optional<std::string> Scanner::record_failure() {
    if (companions_.record == nullptr || failure_reported_) return std::nullopt;
    const auto failure = companions_.record->failure();
    if (!failure) return std::nullopt;
    failure_reported_ = true;
    return failure->message;
}

}  // namespace freshet::controller_process
