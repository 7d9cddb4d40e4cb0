// Condensing a scan's inputs; see the header.
#include "controller/core/picture.hpp"

namespace freshet::core {

namespace {

bool is_known(const Analog& signal, std::int32_t stale_ms) noexcept {
    const bool is_number = signal.value == signal.value;
    return signal.quality != Quality::bad && signal.age_ms <= stale_ms && is_number;
}

/// A motor runs when its current reaches this part of the rated current. The part is well below the
/// magnetising current of a large induction motor (about a quarter of rated), and well above the noise of a
/// current transformer (common practice).
constexpr double running_current_ratio = 0.1;

/// A speed beyond this multiple of the drive's highest speed, forwards or backwards, is not believed, because
/// the register was misread.
constexpr double drive_speed_sense_ratio = 2;

void set(PumpMask& mask, std::size_t pump, bool on) noexcept {
    mask = static_cast<PumpMask>(mask | (on ? bit_of(pump) : PumpMask{0}));
}

void judge_pump(Picture& picture, const TwoStateWords& words, std::size_t p) noexcept {
    using P = PumpSignal;
    const Known drive_side = words.of(P::drive_side_closed, p);
    const Known line_side = words.of(P::line_side_closed, p);
    const Known tripped = words.of(P::tripped, p);
    const Known automatic = words.of(P::selector_automatic, p);
    set(picture.drive_side_closed, p, drive_side.on);
    set(picture.drive_side_open, p, drive_side.off);
    set(picture.line_side_closed, p, line_side.on);
    set(picture.line_side_open, p, line_side.off);
    set(picture.tripped, p, tripped.on);
    set(picture.trip_unknown, p, !tripped.on && !tripped.off && words.of(P::trip_fitted, p).on);
    set(picture.seal_leak, p, words.of(P::seal_leak, p).on);
    set(picture.automatic, p, automatic.on);
    set(picture.not_automatic, p, automatic.off);
    set(picture.hand, p, words.of(P::selector_hand, p).on);
}

/// True when a frequency outside its band is a broken meter and no poor supply: the voltage is healthy, the drive is
/// ready, and no motor on the line is without its current. On a generator the frequency may fall while all this holds.
bool frequency_is_disproved(const Picture& picture, const Inputs& inputs, const Settings& settings) noexcept {
    const std::int32_t stale_ms = settings.signal.stale_ms;
    const Digital& ready = inputs.drive.ready;
    const bool drive_ready =
        ready.on && ready.quality != Quality::bad && ready.age_ms <= stale_ms && !picture.drive_lost();
    const auto without_current = static_cast<PumpMask>(picture.line_side_closed & picture.current_missing);
    return !picture.on_generator && is_known(inputs.line.voltage_v, stale_ms) && drive_ready &&
           without_current == 0;
}

}  // namespace

Picture picture_of(const Inputs& inputs, const Settings& settings) noexcept {
    Picture picture;
    TwoStateReader reader;
    reader.read(inputs, settings);
    renew_two_state(picture, reader.words(), settings);
    renew_motors(picture, inputs, settings);
    renew_fast(picture, inputs, settings);
    return picture;
}

bool renew_two_state(Picture& picture, const TwoStateWords& words, const Settings& settings) noexcept {
    using S = StationSignal;
    const Picture before = picture;
    picture.drive_side_closed = picture.drive_side_open = picture.line_side_closed = picture.line_side_open =
        0;
    picture.tripped = picture.trip_unknown = picture.automatic = picture.not_automatic = picture.hand = 0;
    picture.seal_leak = 0;
    for (std::size_t p = 0; p < settings.pump_count; ++p) judge_pump(picture, words, p);
    picture.on_line = static_cast<std::uint8_t>(count_of(fed_by_line(picture)));

    picture.output_closed = words.of(S::output_closed).on;
    picture.output_open = words.of(S::output_closed).off;
    const Known running = words.of(S::drive_running);
    picture.drive_running = running.on;
    picture.drive_stopped = running.off;
    const Known tripped = words.of(S::drive_tripped);
    picture.drive_tripped = tripped.on;
    picture.drive_not_ready = words.of(S::drive_ready).off;
    picture.drive_known = (running.on || running.off) && (tripped.on || tripped.off);
    picture.drive_claims_sync = words.of(S::in_sync).on;
    picture.on_generator = words.of(S::on_generator).on;
    picture.emergency_stop = words.of(S::emergency_stop).on;
    picture.emergency_stop_released = words.of(S::emergency_stop).off;
    picture.reset_pressed = words.of(S::emergency_stop_reset).on;
    picture.reset_let_go = words.of(S::emergency_stop_reset).off;

    const Known high = words.of(S::high_float);
    const Known low = words.of(S::low_float);
    picture.high_float = settings.floats.fitted && high.on;
    picture.low_float_off = settings.floats.fitted && low.off;
    picture.floats_known = settings.floats.fitted && (high.on || high.off) && (low.on || low.off);
    const auto all = static_cast<PumpMask>((1U << settings.pump_count) - 1U);
    picture.contacts_known = ((picture.drive_side_closed | picture.drive_side_open) & all) == all &&
                             ((picture.line_side_closed | picture.line_side_open) & all) == all &&
                             (picture.output_closed || picture.output_open);
    return !(picture == before);
}

bool renew_fast(Picture& picture, const Inputs& inputs, const Settings& settings) noexcept {
    picture.time_ms = inputs.time_ms;
    const bool was_poor = picture.line_poor;
    const std::int32_t stale_ms = settings.signal.stale_ms;
    const double drive_hz = inputs.drive.frequency_hz.value;
    const double beyond_hz = drive_speed_sense_ratio * settings.drive.speed_max_hz;
    picture.drive_hz_known =
        is_known(inputs.drive.frequency_hz, stale_ms) && drive_hz < beyond_hz && drive_hz > -beyond_hz;
    picture.drive_hz = picture.drive_hz_known ? drive_hz : 0;
    const double nominal_hz = settings.drive.line_frequency_hz;
    const double line_hz = inputs.line.frequency_hz.value;
    const double band_hz = settings.supply.frequency_band_ratio * nominal_hz;
    const bool line_hz_known = is_known(inputs.line.frequency_hz, stale_ms);
    const bool frequency_poor =
        line_hz_known && (line_hz > nominal_hz + band_hz || line_hz < nominal_hz - band_hz);
    const double lowest_v = settings.supply.voltage_min_ratio * settings.drive.line_voltage_v;
    const bool voltage_poor =
        is_known(inputs.line.voltage_v, stale_ms) && inputs.line.voltage_v.value < lowest_v;
    picture.line_poor =
        voltage_poor || (frequency_poor && !frequency_is_disproved(picture, inputs, settings));
    picture.line_hz = line_hz_known && !frequency_poor ? line_hz : nominal_hz;
    return picture.line_poor != was_poor;
}

bool renew_motors(Picture& picture, const Inputs& inputs, const Settings& settings) noexcept {
    const std::int32_t stale_ms = settings.signal.stale_ms;
    const double running_a = running_current_ratio * settings.rated_current_a;
    PumpMask seen = 0;
    PumpMask missing = 0;
    PumpMask hot = 0;
    for (std::size_t p = 0; p < settings.pump_count; ++p) {
        const Analog& current_a = inputs.pumps[p].current_a;
        const bool known = is_known(current_a, stale_ms);
        const bool runs = current_a.value >= running_a;
        set(seen, p, known && runs);
        set(missing, p, known && !runs);
        const Analog& winding_k = inputs.pumps[p].winding_temperature_k;
        set(hot, p,
            is_known(winding_k, stale_ms) &&
                winding_k.value > settings.permissives.winding_temperature_max_k);
    }
    const bool changed =
        seen != picture.current_seen || missing != picture.current_missing || hot != picture.hot;
    picture.current_seen = seen;
    picture.current_missing = missing;
    picture.on_line = static_cast<std::uint8_t>(count_of(fed_by_line(picture)));
    picture.hot = hot;
    return changed;
}

}  // namespace freshet::core
