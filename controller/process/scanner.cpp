// A scan and what surrounds it.
// One reason to change: see the header.
#include "controller/process/scanner.hpp"

#include <algorithm>

#include "hal/store/trend_row.hpp"

namespace freshet::controller_process {

Scanner::Scanner(const core::Settings& settings, const modbus::FieldPlan& plan,
                 const modbus::AdviceEncoder& encoder, modbus::AdviceBoard& board, modbus::ReadServer& server,
                 store::RunRecord* record)
    : controller_(settings),
      decoder_(plan),
      encoder_(encoder),
      board_(board),
      server_(server),
      record_(record) {}

std::int64_t Scanner::measured_read_ms(const core::Inputs& inputs) const {
    if (controller_.settings().measured == core::Measured::header_pressure)
        return inputs.header_pressure.reading.read_ms;
    std::int64_t newest_ms = core::never_ms;
    for (const core::Transmitter& transmitter : inputs.level)
        newest_ms = std::max(newest_ms, transmitter.reading.read_ms);
    return newest_ms;
}

void Scanner::scan(const modbus::FieldSnapshot& snapshot, std::int64_t offset_ms, std::int64_t now_ms) {
    modbus::apply(snapshot, applied_batch_, offset_ms, decoder_);
    applied_batch_ = snapshot.batch;
    const core::Inputs& inputs = decoder_.inputs_at(now_ms);
    const core::Advice& advice = controller_.scan(inputs);
    board_.publish(encoder_.encode(advice, measured_read_ms(inputs)));
    server_.changed();
    counts_.add(advice);
    if (record_ != nullptr && record_->scanned(advice)) {
        store::TrendRow row;
        store::set_from_advice(row, advice);
        row.header_head_m = inputs.header_pressure.reading.quality == core::Quality::good
                                ? inputs.header_pressure.reading.value
                                : store::TrendRow::none;
        row.drive_frequency_hz = inputs.drive.frequency_hz.quality == core::Quality::good
                                     ? inputs.drive.frequency_hz.value
                                     : store::TrendRow::none;
        row.line_voltage_v = inputs.line.voltage_v.quality == core::Quality::good
                                 ? inputs.line.voltage_v.value
                                 : store::TrendRow::none;
        for (std::size_t pump = 0; pump < controller_.settings().pump_count; ++pump) {
            const core::Analog& current = inputs.pumps[pump].current_a;
            if (current.quality == core::Quality::good) row.pump_current_a[pump] = current.value;
        }
        record_->trend(row);
    }
}

std::optional<std::string> Scanner::record_failure() {
    if (record_ == nullptr || failure_told_) return std::nullopt;
    const auto failure = record_->failure();
    if (!failure) return std::nullopt;
    failure_told_ = true;
    return failure->message;
}

}  // namespace freshet::controller_process
