// Packs states into bits and unpacks them; see the header.
#include "tests/property/exploration_state.hpp"

#include <algorithm>
#include <bit>
#include <utility>

#include "controller/core/alarms.hpp"

namespace freshet::exploration {

namespace {

/// The runs of a pump on the line side that differ: none, a stop by its age, a closing by its age, and a withdrawal
/// by its age and its grounds.
constexpr unsigned ages = 4, closing_code = 1 + ages, withdrawing_code = closing_code + ages;

class Packer {
  public:
    template <class T>
    void put(T value, unsigned bits) {
        word_ |= (static_cast<std::uint64_t>(value) & ((1ULL << bits) - 1)) << at_;
        at_ += bits;
    }
    std::uint64_t word() const { return word_; }

  private:
    std::uint64_t word_ = 0;
    unsigned at_ = 0;
};
class Unpacker {
  public:
    explicit Unpacker(std::uint64_t word) : word_(word) {}
    unsigned get(unsigned bits) {
        const auto value = static_cast<unsigned>(word_ & ((1ULL << bits) - 1));
        word_ >>= bits;
        return value;
    }

  private:
    std::uint64_t word_;
};

/// Age in scans, at most `most`. An event that never happened has the greatest age.
unsigned age(std::int64_t at_ms, std::int64_t now_ms, unsigned most) {
    if (at_ms == never_ms) return most;
    const std::int64_t scans = (now_ms - at_ms) / tick_ms;
    return scans >= static_cast<std::int64_t>(most) ? most : static_cast<unsigned>(scans);
}
std::int64_t at_age(unsigned scans, unsigned most) {
    return scans >= most ? long_ago_ms : base_ms - tick_ms * static_cast<std::int64_t>(scans);
}
/// For how many scans a condition has held: 0 if it does not hold, otherwise one more than its age.
unsigned held(std::int64_t since_ms, std::int64_t now_ms, unsigned most) {
    return since_ms == never_ms ? 0 : 1 + age(since_ms, now_ms, most - 1);
}
std::int64_t since_held(unsigned code) {
    return code == 0 ? never_ms : base_ms - tick_ms * static_cast<std::int64_t>(code - 1);
}
/// Scans left until a future time.
unsigned left(std::int64_t until_ms, std::int64_t now_ms, unsigned most) {
    if (until_ms <= now_ms) return 0;
    const std::int64_t scans = (until_ms - now_ms) / tick_ms;
    return scans >= static_cast<std::int64_t>(most) ? most : static_cast<unsigned>(scans);
}
std::int64_t until_left(unsigned scans) {
    return scans == 0 ? long_ago_ms : base_ms + tick_ms * static_cast<std::int64_t>(scans);
}

constexpr unsigned rest_most = 3, run_most = 3, step_most = 7, pause_most = 3, held_most = 7;

unsigned line_run_code(const core::Run& run, std::int64_t now_ms) {
    if (run.step == Step::idle) return 0;
    const unsigned scans = age(run.entered_ms, now_ms, ages - 1);
    if (run.step == Step::line_stop_open) return 1 + scans;
    if (run.step == Step::line_start_close) return closing_code + scans;
    const unsigned grounds = (run.failed ? 1U : 0U) + (run.called_off ? 2U : 0U);
    return withdrawing_code + ages * grounds + scans;
}
core::Run line_run_of(unsigned code, std::uint8_t pump) {
    core::Run run;
    if (code == 0) return run;
    run.pump = pump;
    unsigned scans = code - 1;
    run.step = Step::line_stop_open;
    if (code >= withdrawing_code) {
        const unsigned grounds = (code - withdrawing_code) / ages;
        scans = (code - withdrawing_code) % ages;
        run.step = Step::line_start_withdraw;
        run.failed = (grounds & 1U) != 0;
        run.called_off = (grounds & 2U) != 0;
    } else if (code >= closing_code) {
        scans = code - closing_code;
        run.step = Step::line_start_close;
    }
    run.sequence = core::row_of(run.step).sequence;
    run.entered_ms = base_ms - tick_ms * static_cast<std::int64_t>(scans);
    run.start_counted = scans > 0;  // counted by the first scan after the step began
    return run;
}

constexpr unsigned hand_over_fails = core::alarm_bit(core::PumpAlarm::hand_over_failed) |
                                     core::alarm_bit(core::PumpAlarm::line_side_does_not_close);
constexpr std::uint8_t transfers_fail = 2;

/// The sequencer does not use the drive because of earlier failures.
bool drive_is_refused(const SequencerState& s, std::int64_t now_ms) {
    return s.drive_locked_out || now_ms < s.drive_retry_after_ms;
}

}  // namespace

std::uint64_t hash_of(const Key& key) {
    std::uint64_t h = key.whole * 0x9E3779B97F4A7C15ULL;
    for (const std::uint64_t word : key.pump) h = (std::rotl(h, 23) ^ word) * 0xD6E8FEB86659FD93ULL;
    return h ^ (h >> 32U);
}

Key packed(const SequencerState& s, const laws::History& history, const Station& station, std::uint8_t pumps,
           std::int64_t now_ms) {
    Key key;
    for (std::size_t p = 0; p < pumps; ++p) {
        const core::PumpRecord& record = s.pumps[p];
        const laws::PumpHistory& past = history.pumps[p];
        Packer word;
        word.put(s.main.step != Step::idle && s.main.pump == p, 1);
        word.put(s.drive_pump == p, 1);
        word.put(record.state, 4);
        word.put(station.drive_side[p], 1);
        word.put(station.line_side[p], 1);
        word.put(core::has(s.were_de_energised, p), 1);
        word.put(age(record.started_ms, now_ms, run_most), 2);
        word.put(age(record.released_ms, now_ms, rest_most), 2);
        word.put(left(record.retry_after_ms, now_ms, pause_most), 2);
        word.put(held(record.current_missing_ms, now_ms, 3), 2);
        word.put(std::min<unsigned>(record.attempts, 3), 2);
        word.put(line_run_code(s.line_run[p], now_ms), 5);
        // Only on the drive does a failed hand-over of the pump matter. An idle pump fails again.
        const bool on_drive = s.drive_pump == p || (s.main.step != Step::idle && s.main.pump == p);
        const bool fails = on_drive && (s.latched_pump[p] & hand_over_fails) != 0;
        word.put(fails ? 1 + left(record.hand_over_after_ms, now_ms, 2) : 0, 2);
        word.put(age(past.fed_ms, now_ms, rest_most), 2);
        word.put(age(past.seen_fed_ms, now_ms, rest_most), 2);
        word.put(age(past.started_ms, now_ms, run_most), 2);
        key.pump[p] = word.word();
    }
    for (std::size_t p = 1; p < pumps; ++p)
        for (std::size_t q = p; q > 0 && key.pump[q] < key.pump[q - 1]; --q)
            std::swap(key.pump[q], key.pump[q - 1]);

    Packer word;
    word.put(s.main.sequence, 3);
    word.put(s.main.step, 5);
    word.put(s.main.failed, 1);
    word.put(s.main.drive_failed, 1);
    word.put(s.main.called_off, 1);
    word.put(s.main.step == Step::idle ? 0 : age(s.main.entered_ms, now_ms, step_most), 3);
    word.put(left(s.transfer_retry_after_ms, now_ms, pause_most), 2);
    word.put(left(s.drive_retry_after_ms, now_ms, pause_most), 2);
    word.put(held(s.sync_within_since_ms, now_ms, 3), 2);
    word.put(std::min<unsigned>(s.drive_attempts, 3), 2);
    word.put(s.drive_locked_out, 1);
    word.put(station.output, 1);
    word.put(station.running, 1);
    word.put(station.level, 2);
    word.put(held(history.in_sync_since_ms, now_ms, 3), 2);
    word.put(s.transfer_attempts > 0, 1);
    word.put(s.emergency_stop.state, 2);
    word.put(history.stopped, 1);
    word.put(history.released, 1);
    // Only the pump of the present sequence has both sides advised closed. With a spoiled table another pump
    // might, but then a law breaks.
    for (std::size_t p = 0; p < pumps; ++p)
        if (s.main.step != Step::idle && s.main.pump == p) {
            const laws::PumpHistory& past = history.pumps[p];
            word.put(held(past.both_advised_ms, now_ms, held_most), 3);
            word.put(held(past.both_seen_ms, now_ms, held_most), 3);
            word.put(held(past.joined_ms, now_ms, held_most), 3);
            word.put(past.closed_in_sync, 1);
            const bool counts = core::row_of(s.main.step, *s.table).limit == core::Limit::overlap;
            word.put(counts ? held(s.main.closing_ms, now_ms, held_most) : 0, 3);
        }
    key.whole = word.word();
    return key;
}

bool failures_are_in_the_events(const SequencerState& s, const laws::History& history, std::uint8_t pumps,
                                std::int64_t now_ms) {
    for (std::size_t p = 0; p < pumps; ++p) {
        const bool fails_now =
            s.line_run[p].failed || (s.main.failed && s.main.pump == p);  // its end follows
        if ((s.latched_pump[p] & hand_over_fails) != 0 && !history.pumps[p].line_side_failed && !fails_now)
            return false;
    }
    return history.transfers_withdrawn >= s.transfer_attempts &&
           (history.drive_withdrawn || !drive_is_refused(s, now_ms));
}

Point unpacked(const Key& key, std::uint8_t pumps, const core::StepTable& table) {
    Point point;
    SequencerState& s = point.sequencer;
    s.table = &table;
    std::uint8_t main_pump = no_pump;
    for (std::uint8_t p = 0; p < pumps; ++p) {
        core::PumpRecord& record = s.pumps[p];
        laws::PumpHistory& past = point.history.pumps[p];
        Unpacker word(key.pump[p]);
        if (word.get(1) != 0) main_pump = p;
        if (word.get(1) != 0) s.drive_pump = p;
        record.state = static_cast<PumpState>(word.get(4));
        point.station.drive_side[p] = word.get(1) != 0;
        point.station.line_side[p] = word.get(1) != 0;
        if (word.get(1) != 0)
            s.were_de_energised = static_cast<core::PumpMask>(s.were_de_energised | core::bit_of(p));
        record.started_ms = at_age(word.get(2), run_most);
        record.released_ms = at_age(word.get(2), rest_most);
        record.retry_after_ms = until_left(word.get(2));
        record.current_missing_ms = since_held(word.get(2));
        record.attempts = static_cast<std::uint8_t>(word.get(2));
        s.line_run[p] = line_run_of(word.get(5), p);
        const unsigned fails = word.get(2);
        past.line_side_failed = fails > 0;
        if (fails > 0) s.latched_pump[p] = core::alarm_bit(core::PumpAlarm::hand_over_failed);
        if (fails > 0) record.hand_over_after_ms = until_left(fails - 1);
        past.fed_ms = at_age(word.get(2), rest_most);
        past.seen_fed_ms = at_age(word.get(2), rest_most);
        past.started_ms = at_age(word.get(2), run_most);
    }
    Unpacker word(key.whole);
    s.main.sequence = static_cast<Sequence>(word.get(3));
    s.main.step = static_cast<Step>(word.get(5));
    s.main.failed = word.get(1) != 0;
    s.main.drive_failed = word.get(1) != 0;
    s.main.called_off = word.get(1) != 0;
    s.main.entered_ms = base_ms - tick_ms * static_cast<std::int64_t>(word.get(3));
    if (s.main.step != Step::idle) s.main.pump = main_pump;
    s.main.start_counted = s.main.entered_ms < base_ms;  // counted by the first scan after the step began
    s.transfer_retry_after_ms = until_left(word.get(2));
    s.drive_retry_after_ms = until_left(word.get(2));
    s.sync_within_since_ms = since_held(word.get(2));
    s.drive_attempts = static_cast<std::uint8_t>(word.get(2));
    s.drive_locked_out = word.get(1) != 0;
    point.station.output = word.get(1) != 0;
    point.station.running = word.get(1) != 0;
    point.station.level = static_cast<Level>(word.get(2));
    laws::History& history = point.history;
    history.adopted = true;
    history.first = false;
    history.in_sync_since_ms = since_held(word.get(2));
    // One failed transfer counts as many, so that fewer states differ and a line start may begin earlier.
    if (word.get(1) != 0) s.transfer_attempts = transfers_fail;
    history.transfers_withdrawn = s.transfer_attempts;
    history.drive_withdrawn = drive_is_refused(s, base_ms);
    s.emergency_stop.state = static_cast<core::StopState>(word.get(2));
    history.stopped = word.get(1) != 0;
    history.released = word.get(1) != 0;
    if (s.main.step != Step::idle) {
        laws::PumpHistory& past = history.pumps[main_pump];
        past.both_advised_ms = since_held(word.get(3));
        past.both_seen_ms = since_held(word.get(3));
        past.joined_ms = since_held(word.get(3));
        past.closed_in_sync = word.get(1) != 0;
        const bool joining = core::row_of(s.main.step, table).limit == core::Limit::joining;
        s.main.closing_ms = since_held(word.get(3));
        if (joining) s.main.closing_ms = s.main.entered_ms;
    }
    return point;
}

Step step_of(const Key& key) {
    constexpr unsigned sequence_bits = 3, step_bits = 5;
    Unpacker word(key.whole);
    word.get(sequence_bits);
    return static_cast<Step>(word.get(step_bits));
}

}  // namespace freshet::exploration
