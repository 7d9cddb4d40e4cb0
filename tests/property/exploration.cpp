// Exploring the sequencer; see the header.
#include "tests/property/exploration.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <chrono>
#include <cstdio>
#include <utility>

#include "controller/core/permissives.hpp"
#include "controller/core/sync_check.hpp"
#include "tests/doubles/composed.hpp"

namespace freshet::exploration {

namespace {

using core::Advice;
using core::Inputs;
using core::never_ms;
using core::no_pump;
using core::PumpState;
using core::Sequence;
using core::SequencerState;
using core::Settings;
using core::Step;

constexpr std::int64_t tick_ms = 1000;
constexpr std::int64_t base_ms = 1'931'234'567'000;
constexpr std::int64_t long_ago_ms = base_ms - 10 * 3'600'000;
constexpr std::size_t pumps_most = 4;
constexpr double minimum_hz = 40, steady_hz = 50, line_hz = 60;

enum class Level : std::uint8_t { slow, minimum, line };

/// The station: what is really closed, and what the drive does.
struct Station {
    std::array<bool, pumps_most> drive_side{}, line_side{};
    bool output = false, running = false;
    Level level = Level::slow;
};

/// A point of the exploration, in times.
struct Point {
    SequencerState sequencer;
    laws::History history;
    Station station;
};

/// A point in bits: ages are saturated, pumps are sorted.
struct Key {
    std::array<std::uint32_t, pumps_most> pump{};
    std::uint64_t whole = 0;
    bool operator==(const Key&) const = default;
};

std::uint64_t hash_of(const Key& key) {
    std::uint64_t h = key.whole * 0x9E3779B97F4A7C15ULL;
    for (const std::uint32_t word : key.pump) h = (std::rotl(h, 23) ^ word) * 0xD6E8FEB86659FD93ULL;
    return h ^ (h >> 32U);
}

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

/// Age in scans, at most `most`; an event that never was is as old as can be.
unsigned age(std::int64_t at_ms, std::int64_t now_ms, unsigned most) {
    if (at_ms == never_ms) return most;
    const std::int64_t scans = (now_ms - at_ms) / tick_ms;
    return scans >= static_cast<std::int64_t>(most) ? most : static_cast<unsigned>(scans);
}
std::int64_t at_age(unsigned scans, unsigned most) {
    return scans >= most ? long_ago_ms : base_ms - tick_ms * static_cast<std::int64_t>(scans);
}
/// How long something has held, in scans: 0 is "not at all", and then one more than its age.
unsigned held(std::int64_t since_ms, std::int64_t now_ms, unsigned most) {
    return since_ms == never_ms ? 0 : 1 + age(since_ms, now_ms, most - 1);
}
std::int64_t since_held(unsigned code) {
    return code == 0 ? never_ms : base_ms - tick_ms * static_cast<std::int64_t>(code - 1);
}
/// Scans left until a time to come.
unsigned left(std::int64_t until_ms, std::int64_t now_ms, unsigned most) {
    if (until_ms <= now_ms) return 0;
    const std::int64_t scans = (until_ms - now_ms) / tick_ms;
    return scans >= static_cast<std::int64_t>(most) ? most : static_cast<unsigned>(scans);
}
std::int64_t until_left(unsigned scans) {
    return scans == 0 ? long_ago_ms : base_ms + tick_ms * static_cast<std::int64_t>(scans);
}

constexpr unsigned rest_most = 3, run_most = 3, step_most = 7, pause_most = 3, held_most = 7;

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
        word.put(core::has(s.dead_before, p), 1);
        word.put(age(record.started_ms, now_ms, run_most), 2);
        word.put(age(record.released_ms, now_ms, rest_most), 2);
        word.put(left(record.retry_after_ms, now_ms, pause_most), 2);
        word.put(held(record.current_missing_ms, now_ms, 3), 2);
        word.put(std::min<unsigned>(record.attempts, 3), 2);
        const core::Run& stop = s.line_stop[p];
        word.put(stop.step == Step::idle ? 0 : 1 + age(stop.entered_ms, now_ms, 2), 2);
        word.put(age(past.fed_ms, now_ms, rest_most), 2);
        word.put(age(past.seen_fed_ms, now_ms, rest_most), 2);
        word.put(age(past.started_ms, now_ms, run_most), 2);
        key.pump[p] = static_cast<std::uint32_t>(word.word());
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
    // Only the pump under way has both sides advised closed; with a spoiled table another might, but then a
    // law breaks.
    for (std::size_t p = 0; p < pumps; ++p)
        if (s.main.step != Step::idle && s.main.pump == p) {
            const laws::PumpHistory& past = history.pumps[p];
            word.put(held(past.both_advised_ms, now_ms, held_most), 3);
            word.put(held(past.both_seen_ms, now_ms, held_most), 3);
            word.put(past.closed_in_sync, 1);
        }
    key.whole = word.word();
    return key;
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
        if (word.get(1) != 0) s.dead_before = static_cast<core::PumpMask>(s.dead_before | core::bit_of(p));
        record.started_ms = at_age(word.get(2), run_most);
        record.released_ms = at_age(word.get(2), rest_most);
        record.retry_after_ms = until_left(word.get(2));
        record.current_missing_ms = since_held(word.get(2));
        record.attempts = static_cast<std::uint8_t>(word.get(2));
        const unsigned stopping = word.get(2);
        if (stopping != 0) {
            s.line_stop[p].sequence = Sequence::stop_from_line;
            s.line_stop[p].step = Step::line_stop_open;
            s.line_stop[p].pump = p;
            s.line_stop[p].entered_ms = base_ms - tick_ms * static_cast<std::int64_t>(stopping - 1);
        }
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
    s.main.start_counted = s.main.entered_ms < base_ms;  // by the first scan that finds the step standing
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
    if (s.main.step != Step::idle) {
        laws::PumpHistory& past = history.pumps[main_pump];
        past.both_advised_ms = since_held(word.get(3));
        past.both_seen_ms = since_held(word.get(3));
        past.closed_in_sync = word.get(1) != 0;
    }
    return point;
}

/// What a deviation touches. Contactors: output, then drive side and line side of each pump.
enum class Kind : std::uint8_t {
    none,
    late,      // a contactor does not move in this scan
    pretends,  // ... and shows that it did
    lies,      // shows the opposite of what is so
    silent,    // is not read
    drive_trips,
    drive_not_ready,
    drive_disobeys,  // does not run or stop as advised, or drops out
    speed_lags,
    not_in_sync,
    claims_alone,  // the drive claims to be in sync, our check does not agree
    checks_alone,  // our check agrees, the drive does not claim
    line_dips,     // shorter than what counts as lost
    supply_lost,
    link_lost,
    emergency_stop,
    pump_trips,
    selector_off,
    current_missing,
    count
};
constexpr std::array<const char*, static_cast<std::size_t>(Kind::count)> kind_names{
    "nothing",         "late",           "pretends",   "lies",           "silent",       "drive trips",
    "drive not ready", "drive disobeys", "speed lags", "not in sync",    "claims alone", "checks alone",
    "line dips",       "supply lost",    "link lost",  "emergency stop", "pump trips",   "selector off",
    "current missing"};

struct Deviation {
    Kind kind = Kind::none;
    std::uint8_t where = 0;  ///< contactor or pump
};
using Deviations = std::array<Deviation, 2>;

bool is_of_contactor(Kind kind) {
    return kind >= Kind::late && kind <= Kind::silent;
}
bool is_of_pump(Kind kind) {
    return kind >= Kind::pump_trips && kind <= Kind::current_missing;
}
/// What was begun by the free choice that stands for staging.
struct Choice {
    Sequence sequence = Sequence::none;
    std::uint8_t pump = no_pump;
};

/// Where each sequence is meant to leave its pump, by Sequence.
constexpr std::array<PumpState, static_cast<std::size_t>(Sequence::count)> straight_ends{
    PumpState::off, PumpState::on_drive, PumpState::on_line, PumpState::on_drive,
    PumpState::off, PumpState::off,      PumpState::on_line};

/// How a state was reached first.
struct Way {
    std::uint32_t from = 0;
    Deviations deviations;
    Choice choice;
};

class Explorer {
  public:
    explicit Explorer(const Plan& plan)
        : plan_(plan), settings_(small_settings(plan.pumps)), told_(settings_) {
        if (plan.spoil_settings != nullptr) plan.spoil_settings(told_);
        slots_.assign(1U << 16U, 0);
    }

    Findings run() {
        const auto begun = std::chrono::steady_clock::now();
        Point rest;
        rest.history.adopted = true;
        rest.history.first = false;
        rest.sequencer.dead_before = static_cast<core::PumpMask>((1U << plan_.pumps) - 1U);
        add(packed(rest.sequencer, rest.history, rest.station, plan_.pumps, base_ms), {});
        std::size_t layer_end = 1;
        // States come in the order of the scans that they need, so the set itself is the queue. Where
        // deviations are counted, a state reached with fewer of them later on is looked at again.
        for (std::size_t next = 0; next < keys_.size(); ++next) {
            if (next == layer_end) {
                ++findings_.depth;
                layer_end = keys_.size();
            }
            expand(next);
            if (done()) break;
        }
        while (!again_.empty() && !done()) {
            const std::uint32_t one = again_.back();
            again_.pop_back();
            expand(one);
            for (std::size_t next = layer_end; next < keys_.size() && !done(); layer_end = ++next)
                expand(next);
        }
        findings_.closed = !done();
        findings_.states = keys_.size();
        findings_.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - begun).count();
        return findings_;
    }

  private:
    bool done() const {
        return keys_.size() > plan_.states_max || (plan_.stop_at_first && findings_.broken > 0);
    }

    /// Finds a state or adds it.
    void add(const Key& key, const Way& way, std::uint8_t spent = 0) {
        if (2 * keys_.size() >= slots_.size()) grow();
        std::size_t slot = hash_of(key) & (slots_.size() - 1);
        while (slots_[slot] != 0) {
            const std::uint32_t index = slots_[slot] - 1;
            if (keys_[index] == key) {
                if (spent < spent_[index]) {
                    spent_[index] = spent;
                    again_.push_back(index);
                }
                return;
            }
            slot = (slot + 1) & (slots_.size() - 1);
        }
        keys_.push_back(key);
        ways_.push_back(way);
        spent_.push_back(spent);
        slots_[slot] = static_cast<std::uint32_t>(keys_.size());
    }
    void grow() {
        slots_.assign(2 * slots_.size(), 0);
        for (std::size_t index = 0; index < keys_.size(); ++index) {
            std::size_t slot = hash_of(keys_[index]) & (slots_.size() - 1);
            while (slots_[slot] != 0) slot = (slot + 1) & (slots_.size() - 1);
            slots_[slot] = static_cast<std::uint32_t>(index + 1);
        }
    }

    void expand(std::size_t index) {
        at_ = static_cast<std::uint32_t>(index);
        const Key key = keys_[index];
        point_ = unpacked(key, plan_.pumps, *plan_.table);
        // What was advised in the scan before; figures apart, it follows from the state.
        core::Picture quiet;
        quiet.line_hz = line_hz;
        doubles::compose(point_.sequencer, {quiet, {}, minimum_hz}, steady_hz, told_, before_);
        before_.service = core::Service::normal;
        before_.measured_quality = core::Quality::good;
        before_.measured_cause = core::Cause::none;
        point_.history.before = laws::told_by(before_, plan_.pumps);

        list_deviations(key);
        scan({});
        const int left = plan_.deviations_per_path < 0 ? 2 : plan_.deviations_per_path - spent_[index];
        if (left >= 1)
            for (const Deviation& one : list_) {
                scan({one, {}});
                if (done()) return;
            }
        if (left >= 2 && plan_.deviations_per_scan >= 2)
            for (std::size_t i = 0; i < list_.size(); ++i)
                for (std::size_t j = i + 1; j < list_.size(); ++j) {
                    if (is_of_contactor(list_[i].kind) && is_of_contactor(list_[j].kind) &&
                        list_[i].where == list_[j].where)
                        continue;
                    scan({list_[i], list_[j]});
                    if (done()) return;
                }
    }

    bool ordered(std::size_t contactor) const {
        if (contactor == 0) return before_.output_close;
        const core::PumpAdvice& pump = before_.pumps[(contactor - 1) / 2];
        return (contactor - 1) % 2 == 0 ? pump.drive_side_close : pump.line_side_close;
    }
    static bool actual(const Station& station, std::size_t contactor) {
        if (contactor == 0) return station.output;
        const std::size_t pump = (contactor - 1) / 2;
        return (contactor - 1) % 2 == 0 ? station.drive_side[pump] : station.line_side[pump];
    }

    /// What can go another way in the next scan. Of pumps in like states the first stands for all.
    void list_deviations(const Key& key) {
        list_.clear();
        const auto stands_for = [&](std::size_t pump) {
            return pump > 0 && key.pump[pump] == key.pump[pump - 1];
        };
        const std::size_t contactors = 1 + 2 * static_cast<std::size_t>(plan_.pumps);
        for (std::size_t c = 0; c < contactors; ++c) {
            if (c > 0 && stands_for((c - 1) / 2)) continue;
            const auto where = static_cast<std::uint8_t>(c);
            if (ordered(c) != actual(point_.station, c)) {
                list_.push_back({Kind::late, where});
                list_.push_back({Kind::pretends, where});
            }
            list_.push_back({Kind::lies, where});
            list_.push_back({Kind::silent, where});
        }
        for (const Kind kind : {Kind::drive_trips, Kind::drive_not_ready, Kind::line_dips, Kind::supply_lost,
                                Kind::link_lost, Kind::emergency_stop})
            list_.push_back({kind, 0});
        if (before_.drive_run || point_.station.running) list_.push_back({Kind::drive_disobeys, 0});
        if (before_.drive_run && level_wanted() != point_.station.level)
            list_.push_back({Kind::speed_lags, 0});
        if (before_.synchronise)
            for (const Kind kind : {Kind::not_in_sync, Kind::claims_alone, Kind::checks_alone})
                list_.push_back({kind, 0});
        for (std::uint8_t p = 0; p < plan_.pumps; ++p) {
            if (stands_for(p)) continue;
            list_.push_back({Kind::pump_trips, p});
            list_.push_back({Kind::selector_off, p});
            if (point_.station.line_side[p] || before_.pumps[p].line_side_close)
                list_.push_back({Kind::current_missing, p});
        }
    }

    Level level_wanted() const {
        constexpr double near_line_hz = 55;
        if (before_.speed_hz > near_line_hz) return Level::line;
        return before_.speed_hz > 0 ? Level::minimum : Level::slow;
    }

    static bool occurs(const Deviations& deviations, Kind kind, std::size_t where = 0) {
        for (const Deviation& one : deviations)
            if (one.kind == kind && one.where == where) return true;
        return false;
    }

    /// The station after one scan of following the advice.
    Station moved(const Deviations& deviations, bool& in_sync) const {
        Station next = point_.station;
        const auto moves = [&](std::size_t contactor) {
            return !occurs(deviations, Kind::late, contactor) &&
                   !occurs(deviations, Kind::pretends, contactor);
        };
        if (moves(0)) next.output = before_.output_close;
        for (std::size_t p = 0; p < plan_.pumps; ++p) {
            if (moves(1 + 2 * p)) next.drive_side[p] = before_.pumps[p].drive_side_close;
            if (moves(2 + 2 * p)) next.line_side[p] = before_.pumps[p].line_side_close;
        }
        const bool drops_out = before_.drive_run && next.running;
        const bool disobeys = occurs(deviations, Kind::drive_disobeys);
        next.running = disobeys ? next.running && !drops_out : before_.drive_run;
        if (occurs(deviations, Kind::drive_trips)) next.running = false;
        if (!next.running) {
            next.level = Level::slow;
        } else if (!occurs(deviations, Kind::speed_lags)) {
            next.level = level_wanted();
        }
        in_sync = next.running && before_.synchronise && next.level == Level::line &&
                  point_.station.level == Level::line;
        return next;
    }

    void show(const Station& station, const Deviations& deviations, bool in_sync, Inputs& in) const {
        using core::Quality;
        const Quality link = occurs(deviations, Kind::link_lost) ? Quality::bad : Quality::good;
        const auto digital = [&](core::Digital& signal, bool on) {
            signal = {base_ms + tick_ms, on, link, core::Cause::none};
        };
        const auto analog = [&](core::Analog& signal, double value) {
            signal = {value, base_ms + tick_ms, link, core::Cause::none};
        };
        const auto contact = [&](core::Digital& signal, std::size_t c) {
            const bool closed = actual(station, c);
            const bool lies = occurs(deviations, Kind::lies, c) || occurs(deviations, Kind::pretends, c);
            digital(signal, closed != lies);
            if (occurs(deviations, Kind::silent, c)) signal.quality = Quality::bad;
        };
        in.time_ms = base_ms + tick_ms;
        digital(in.emergency_stop, occurs(deviations, Kind::emergency_stop));
        const bool trips = occurs(deviations, Kind::drive_trips);
        digital(in.drive.ready, !occurs(deviations, Kind::drive_not_ready));
        digital(in.drive.running, station.running);
        digital(in.drive.tripped, trips);
        const bool claims =
            occurs(deviations, Kind::claims_alone) ||
            (in_sync && !occurs(deviations, Kind::not_in_sync) && !occurs(deviations, Kind::checks_alone));
        const bool agrees =
            occurs(deviations, Kind::checks_alone) ||
            (in_sync && !occurs(deviations, Kind::not_in_sync) && !occurs(deviations, Kind::claims_alone));
        digital(in.drive.in_sync, claims);
        contact(in.drive.output_closed, 0);
        const double hz =
            station.level == Level::line ? line_hz : (station.level == Level::minimum ? minimum_hz : 0);
        constexpr double line_v = 2300;
        constexpr double dip_ratio = 0.7;
        constexpr double off_deg = 90;
        const bool poor = occurs(deviations, Kind::line_dips) || occurs(deviations, Kind::supply_lost);
        analog(in.drive.frequency_hz, agrees ? line_hz : hz);
        analog(in.drive.voltage_v, line_v);
        analog(in.drive.angle_deg, agrees ? 1 : off_deg);
        analog(in.line.voltage_v, poor ? dip_ratio * line_v : line_v);
        analog(in.line.frequency_hz, line_hz);
        digital(in.line.on_generator, false);
        digital(in.high_float, false);
        digital(in.low_float, true);
        for (std::size_t p = 0; p < plan_.pumps; ++p) {
            core::PumpInputs& pump = in.pumps[p];
            contact(pump.drive_side_closed, 1 + 2 * p);
            contact(pump.line_side_closed, 2 + 2 * p);
            digital(pump.tripped, occurs(deviations, Kind::pump_trips, p));
            digital(pump.seal_leak, false);
            const bool fed =
                station.line_side[p] || (station.drive_side[p] && station.output && station.running);
            constexpr double loaded_a = 90;
            analog(pump.current_a, fed && !occurs(deviations, Kind::current_missing, p) ? loaded_a : 0);
            analog(pump.winding_temperature_k, 320);
            pump.selector =
                occurs(deviations, Kind::selector_off, p) ? core::Selector::off : core::Selector::automatic;
            pump.selector_quality = link;
            pump.selector_read_ms = base_ms + tick_ms;
        }
        analog(in.level[0].reading, 2);
    }

    /// What people do about lock-outs, as the scan does it: selector to off resets a pump, "not ready" the
    /// drive.
    void reset_lock_outs(SequencerState& s, const core::Picture& picture, core::Journal& journal) const {
        if (s.drive_locked_out && picture.drive_not_ready) {
            s.drive_locked_out = false;
            s.drive_attempts = 0;
        }
        for (std::uint8_t p = 0; p < plan_.pumps; ++p) {
            if (s.pumps[p].state != PumpState::locked_out || !core::has(picture.not_automatic, p)) continue;
            s.pumps[p].attempts = 0;
            s.pumps[p].state = PumpState::off;
            journal.note(core::EventKind::pump_state, static_cast<std::uint8_t>(PumpState::off), p,
                         core::Reason::selector_off);
        }
    }

    /// One scan, and every choice that staging could make in it.
    void scan(const Deviations& deviations) {
        bool in_sync = false;
        const Station station = moved(deviations, in_sync);
        show(station, deviations, in_sync, inputs_);
        core::Picture picture = core::picture_of(inputs_, told_);
        if (plan_.spoil_picture != nullptr) plan_.spoil_picture(picture);

        core::SequencerInputs seen{picture, {}, minimum_hz};
        SequencerState after = point_.sequencer;
        if (after.main.step != Step::idle && core::row_of(after.main.step, *after.table).advice.synchronise)
            seen.sync = core::read_sync(inputs_.drive, inputs_.line, told_.sync,
                                        told_.sync.line_side_closing_ms, inputs_.time_ms);
        if (plan_.sync_always_within) seen.sync.within = true;

        std::uint32_t number = 0;
        core::Journal journal(advice_, number);
        core::carry_on(after, seen, told_, journal);
        const bool lost = occurs(deviations, Kind::supply_lost);
        if (picture.emergency_stop && !plan_.stop_ignored)
            core::stop_all(after, core::Permissive::emergency_stop, core::Reason::emergency_stop, {},
                           picture.time_ms, journal);
        if (lost)
            core::stop_all(after, core::Permissive::supply, core::Reason::supply_lost, {}, picture.time_ms,
                           journal);
        reset_lock_outs(after, picture, journal);
        judge(deviations, station, seen, after, {});
        if (after.main.step != Step::idle || lost || (picture.emergency_stop && !plan_.stop_ignored)) return;

        core::StationPermit permit;
        permit.settled = permit.data_starts = true;
        const std::uint8_t events = advice_.event_count;
        const std::uint32_t numbered = number;
        const auto choose = [&](Sequence sequence, std::uint8_t pump) {
            advice_.event_count = events;
            number = numbered;
            SequencerState begun = after;
            const bool more = sequence == Sequence::start_on_drive || sequence == Sequence::line_start;
            const core::Reason why = more
                                         ? core::Reason::value_past_start
                                         : (sequence == Sequence::hand_over ? core::Reason::demand_at_top
                                                                            : core::Reason::demand_at_bottom);
            if (sequence == Sequence::stop_from_line)
                core::begin_line_stop(begun, pump, why, {}, picture.time_ms, journal);
            else
                core::begin(begun, sequence, core::first_step(sequence), pump, why, {}, picture.time_ms,
                            journal);
            judge(deviations, station, seen, begun, {sequence, pump});
        };
        std::int64_t wait_ms = 0;
        const bool drive_usable = core::why_no_drive(after, picture) == core::Permissive::none;
        const bool takes = plan_.moving_drive_ignored ? core::drive_is_free(picture, told_)
                                                      : core::drive_can_take(picture, told_);
        const bool drive_free = (plan_.free_drive_ignored || takes) && drive_usable;
        const bool transfer =
            core::why_no_transfer(after, picture, permit, told_, wait_ms) == core::Permissive::none;
        if (after.drive_pump != no_pump) {
            if (transfer) choose(Sequence::hand_over, after.drive_pump);
            if (core::why_not_stop(after, told_, after.drive_pump, picture.time_ms, wait_ms) ==
                core::Permissive::none)
                choose(Sequence::stop_on_drive, after.drive_pump);
            return;
        }
        for (std::uint8_t p = 0; p < plan_.pumps; ++p) {
            const PumpState state = after.pumps[p].state;
            if (state == PumpState::off && core::why_unavailable(picture, p) == core::Permissive::none) {
                if (drive_free && core::why_not_start(after, picture, permit, told_, p, false, wait_ms) ==
                                      core::Permissive::none)
                    choose(Sequence::start_on_drive, p);
                if (core::why_not_start(after, picture, permit, told_, p, true, wait_ms) ==
                    core::Permissive::none)
                    choose(Sequence::line_start, p);
            }
            if (state == PumpState::on_line && after.line_stop[p].step == Step::idle &&
                core::why_not_stop(after, told_, p, picture.time_ms, wait_ms) == core::Permissive::none) {
                if (drive_free && transfer) choose(Sequence::take_back, p);
                choose(Sequence::stop_from_line, p);
            }
        }
    }

    void judge(const Deviations& deviations, const Station& station, const core::SequencerInputs& seen,
               const SequencerState& after, const Choice& choice) {
        ++findings_.edges;
        doubles::compose(after, seen, steady_hz, told_, advice_);
        advice_.service = core::Service::normal;
        advice_.measured_quality = core::Quality::good;
        advice_.measured_cause = core::Cause::none;
        advice_.measured_m = 2;
        for (std::size_t i = 0; i < advice_.event_count; ++i) {
            const core::Event& event = advice_.events[i];
            if (event.what == core::EventKind::sequence_done &&
                after.pumps[event.pump].state == straight_ends[event.detail])
                ++findings_.done[event.detail];
        }
        history_ = point_.history;
        broken_.clear();
        laws::judge_scan(settings_, history_, inputs_, advice_, broken_);
        if (!broken_.empty()) {
            ++findings_.broken;
            constexpr std::size_t told_most = 5;
            if (findings_.told.size() < told_most) findings_.told.push_back(way_to(deviations, choice));
            return;  // what follows a broken law is not looked at
        }
        int spent = spent_[at_];
        for (const Deviation& one : deviations) spent += one.kind == Kind::none ? 0 : 1;
        constexpr int spent_most = 255;
        add(packed(after, history_, station, plan_.pumps, inputs_.time_ms), {at_, deviations, choice},
            plan_.deviations_per_path < 0 ? std::uint8_t{0}
                                          : static_cast<std::uint8_t>(std::min(spent, spent_most)));
    }

    static std::string named(const Deviations& deviations, const Choice& choice) {
        std::string text;
        for (const Deviation& one : deviations) {
            if (one.kind == Kind::none) continue;
            text += std::string(" ") + kind_names[static_cast<std::size_t>(one.kind)];
            if (is_of_contactor(one.kind))
                text += one.where == 0
                            ? " (output)"
                            : std::string((one.where - 1) % 2 == 0 ? " (drive side " : " (line side ") +
                                  std::to_string((one.where - 1) / 2 + 1) + ")";
            if (is_of_pump(one.kind)) text += " " + std::to_string(one.where + 1);
        }
        if (choice.sequence != Sequence::none)
            text += " begin " + std::to_string(static_cast<int>(choice.sequence)) + " of " +
                    std::to_string(choice.pump + 1);
        return text.empty() ? " as advised" : text;
    }

    std::string way_to(const Deviations& deviations, const Choice& choice) const {
        std::vector<std::string> lines;
        for (const laws::Broken& one : broken_)
            lines.push_back("law " + std::to_string(one.law) + ": " + one.figures);
        lines.push_back("last:" + named(deviations, choice));
        for (std::uint32_t at = at_; at != 0; at = ways_[at].from) {
            Unpacker word(keys_[at].whole);
            word.get(3);
            lines.push_back("  to step " + std::to_string(word.get(5)) + ":" +
                            named(ways_[at].deviations, ways_[at].choice));
        }
        std::reverse(lines.begin(), lines.end());
        std::string text;
        for (const std::string& line : lines) text += line + "\n";
        return text;
    }

    Plan plan_;
    Settings settings_;  ///< what the laws hold it to
    Settings told_;      ///< what the sequencer is told
    Findings findings_;
    std::vector<Key> keys_;
    std::vector<Way> ways_;
    std::vector<std::uint8_t> spent_;  ///< deviations on the cheapest way so far
    std::vector<std::uint32_t> slots_, again_;
    std::uint32_t at_ = 0;
    Point point_;
    laws::History history_;
    Advice before_, advice_;
    Inputs inputs_;
    std::vector<Deviation> list_;
    std::vector<laws::Broken> broken_;
};

}  // namespace

core::Settings small_settings(std::uint8_t pumps) {
    Settings s;
    constexpr std::int32_t tick = 1000;
    s.pump_count = pumps;
    s.scan_ms = tick;
    s.marks.low_cutoff_m = -10;
    s.level_transmitter[0] = {true, 0, 5};
    s.rated_current_a = 100;
    s.drive.line_frequency_hz = line_hz;
    s.drive.line_voltage_v = 2300;
    s.drive.speed_max_hz = line_hz;
    s.drive.tolerance_hz = 0.3;
    s.sync.hold_ms = tick;
    s.sync.age_max_ms = tick / 2;
    s.step.close_ms = 2 * tick;
    s.step.open_ms = 2 * tick;
    s.step.overlap_ms = 2 * tick;
    s.step.drive_start_ms = tick;
    s.step.ramp_margin_ms = tick;
    s.step.synchronise_ms = 3 * tick;
    s.step.retry_pause_ms = tick;
    s.step.attempts_max = 2;
    s.permissives.rest_min_ms = tick;
    s.permissives.residual_voltage_ms = 2 * tick;
    s.permissives.run_min_ms = 2 * tick;
    s.permissives.starts_per_hour_max = 12;
    s.permissives.transfers_per_hour_max = 12;
    s.permissives.current_loss_ms = tick;
    s.supply.lost_hold_ms = tick;
    s.restart.spacing_ms = 0;
    s.line_start.allowed = true;
    s.line_start.spacing_ms = 0;
    s.line_start.short_circuit_va = 60e6;
    return s;
}

bool every_sequence_ends(const Findings& findings) {
    for (std::size_t sequence = 1; sequence < findings.done.size(); ++sequence)
        if (findings.done[sequence] == 0) return false;
    return true;
}

Findings explore(const Plan& plan) {
    return Explorer(plan).run();
}

}  // namespace freshet::exploration
