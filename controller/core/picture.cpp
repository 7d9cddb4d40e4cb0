// Condensing a scan's inputs; see the header.
#include "controller/core/picture.hpp"

namespace freshet::core {

namespace {

/// Three-valued view of a two-state signal.
struct Known {
    bool on = false, off = false;
};

class Reader {
  public:
    Reader(std::int64_t now_ms, std::int64_t stale_ms) noexcept : oldest_ms_(now_ms - stale_ms) {}

    Known known(const Digital& signal) const noexcept {
        const bool usable = signal.quality != Quality::bad && signal.read_ms >= oldest_ms_;
        return {usable && signal.on, usable && !signal.on};
    }
    bool known(const Analog& signal) const noexcept {
        return signal.quality != Quality::bad && signal.read_ms >= oldest_ms_;
    }

  private:
    std::int64_t oldest_ms_;
};

/// Motor current that tells a running motor from a standing one: common practice, well below the magnetising
/// current of a large induction motor (about a quarter of rated) and well above transformer noise.
constexpr double running_current_ratio = 0.1;

}  // namespace

Picture picture_of(const Inputs& inputs, const Settings& settings) noexcept {
    Picture picture;
    picture.time_ms = inputs.time_ms;
    const Reader reader(inputs.time_ms, settings.signal.stale_ms);
    const double running_a = running_current_ratio * settings.rated_current_a;
    const auto all = static_cast<PumpMask>((1U << settings.pump_count) - 1U);

    for (std::size_t p = 0; p < settings.pump_count; ++p) {
        const PumpInputs& pump = inputs.pumps[p];
        const PumpMask bit = bit_of(p);
        const auto set = [bit](PumpMask& mask, bool on) {
            mask = static_cast<PumpMask>(mask | (on ? bit : 0));
        };
        const Known drive_side = reader.known(pump.drive_side_closed);
        const Known line_side = reader.known(pump.line_side_closed);
        const Known tripped = reader.known(pump.tripped);
        set(picture.drive_side_closed, drive_side.on);
        set(picture.drive_side_open, drive_side.off);
        set(picture.line_side_closed, line_side.on);
        set(picture.line_side_open, line_side.off);
        set(picture.tripped, tripped.on);
        set(picture.trip_unknown, !tripped.on && !tripped.off && pump.tripped.cause != Cause::not_fitted);
        set(picture.seal_leak, reader.known(pump.seal_leak).on);
        set(picture.hot,
            reader.known(pump.winding_temperature_k) &&
                pump.winding_temperature_k.value > settings.permissives.winding_temperature_max_k);
        const bool selector_known = pump.selector_quality != Quality::bad &&
                                    inputs.time_ms - pump.selector_read_ms <= settings.signal.stale_ms;
        set(picture.automatic, selector_known && pump.selector == Selector::automatic);
        set(picture.not_automatic, selector_known && pump.selector != Selector::automatic);
        set(picture.hand, selector_known && pump.selector == Selector::hand);
        const bool current_known = reader.known(pump.current_a);
        set(picture.current_seen, current_known && pump.current_a.value >= running_a);
        set(picture.current_missing, current_known && pump.current_a.value < running_a);
    }

    const Known output = reader.known(inputs.drive.output_closed);
    picture.output_closed = output.on;
    picture.output_open = output.off;
    const Known running = reader.known(inputs.drive.running);
    picture.drive_running = running.on;
    picture.drive_standing = running.off;
    picture.drive_tripped = reader.known(inputs.drive.tripped).on;
    picture.drive_not_ready = reader.known(inputs.drive.ready).off;
    picture.drive_known =
        (running.on || running.off) && (reader.known(inputs.drive.tripped).off || picture.drive_tripped);
    picture.drive_claims_sync = reader.known(inputs.drive.in_sync).on;
    picture.drive_hz_known = reader.known(inputs.drive.frequency_hz);
    picture.drive_hz = inputs.drive.frequency_hz.value;

    const double nominal_hz = settings.drive.line_frequency_hz;
    const bool line_hz_known = reader.known(inputs.line.frequency_hz);
    const bool line_v_known = reader.known(inputs.line.voltage_v);
    const double band_hz = settings.supply.frequency_band_ratio * nominal_hz;
    const bool frequency_poor = line_hz_known && (inputs.line.frequency_hz.value > nominal_hz + band_hz ||
                                                  inputs.line.frequency_hz.value < nominal_hz - band_hz);
    const bool voltage_poor =
        line_v_known &&
        inputs.line.voltage_v.value < settings.supply.voltage_min_ratio * settings.drive.line_voltage_v;
    picture.line_poor = frequency_poor || voltage_poor;
    picture.line_hz = line_hz_known && !frequency_poor ? inputs.line.frequency_hz.value : nominal_hz;
    picture.on_generator = reader.known(inputs.line.on_generator).on;
    picture.emergency_stop = reader.known(inputs.emergency_stop).on;

    const Known high = reader.known(inputs.high_float);
    const Known low = reader.known(inputs.low_float);
    picture.high_float = settings.floats.fitted && high.on;
    picture.low_float_off = settings.floats.fitted && low.off;
    picture.floats_known = settings.floats.fitted && (high.on || high.off) && (low.on || low.off);

    picture.contacts_known = ((picture.drive_side_closed | picture.drive_side_open) & all) == all &&
                             ((picture.line_side_closed | picture.line_side_open) & all) == all &&
                             (picture.output_closed || picture.output_open);
    return picture;
}

}  // namespace freshet::core
