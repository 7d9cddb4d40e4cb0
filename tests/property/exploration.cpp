// Explores the sequencer; see the header.
#include "tests/property/exploration.hpp"

#include <algorithm>
#include <array>
#include <chrono>
#include <utility>

#include "controller/core/permissives.hpp"
#include "controller/core/sync_check.hpp"
#include "tests/doubles/composed.hpp"
#include "tests/property/exploration_state.hpp"
#include "tests/property/exploration_station.hpp"

namespace freshet::exploration {

using core::Settings;

namespace {

constexpr double steady_hz = 50;

/// The sequence that the free choice has begun in place of staging.
struct Choice {
    Sequence sequence = Sequence::none;
    std::uint8_t pump = no_pump;
};

/// The state in which each sequence leaves its pump when nothing fails, by Sequence.
constexpr std::array<PumpState, static_cast<std::size_t>(Sequence::count)> straight_ends{
    PumpState::off, PumpState::on_drive, PumpState::on_line, PumpState::on_drive,
    PumpState::off, PumpState::off,      PumpState::on_line};

/// How the exploration first reached a state.
struct Way {
    std::uint32_t from = 0;
    Deviations deviations;
    Choice choice;
};

class Explorer {
  public:
    explicit Explorer(const Plan& plan)
        : plan_(plan), settings_(small_settings(plan.pumps)), sequencer_settings_(settings_) {
        if (plan.spoil_settings != nullptr) plan.spoil_settings(sequencer_settings_);
        slots_.assign(1U << 16U, 0);
    }

    Findings run() {
        const auto begun = std::chrono::steady_clock::now();
        Point rest;
        rest.history.adopted = true;
        rest.history.first = false;
        rest.sequencer.were_de_energised = static_cast<core::PumpMask>((1U << plan_.pumps) - 1U);
        add(packed(rest.sequencer, rest.history, rest.station, plan_.pumps, base_ms), {});
        std::size_t layer_end = 1;
        // States are added in the order of the scans that they need, so the set itself is the queue. Where
        // deviations are counted, a state is explored again if a later way to it needs fewer of them.
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
        // Except for its figures, the advice of the scan before follows from the state.
        core::Picture quiet;
        quiet.line_hz = line_hz;
        doubles::compose(point_.sequencer, {quiet, {}, minimum_hz}, steady_hz, sequencer_settings_, before_);
        before_.service = core::Service::normal;
        before_.measured_quality = core::Quality::good;
        before_.measured_cause = core::Cause::none;
        point_.history.before = laws::advised_in(before_, plan_.pumps);

        const bool stopped = point_.sequencer.emergency_stop.state != core::StopState::clear;
        list_deviations(key, point_.station, before_, plan_.pumps, stopped, list_);
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

    /// Resets lock-outs as the scan does: a selector at off resets its pump, "not ready" resets the drive.
    void reset_lock_outs(SequencerState& s, const core::Picture& picture, core::Journal& journal) const {
        if (s.drive_locked_out && picture.drive_not_ready) {
            s.drive_locked_out = false;
            s.drive_attempts = 0;
        }
        for (std::uint8_t p = 0; p < plan_.pumps; ++p) {
            if (!core::is_idle(s.pumps[p].state) || !core::has(picture.not_automatic, p)) continue;
            s.latched_pump[p] = 0;
            s.pumps[p].attempts = 0;
            if (s.pumps[p].state != PumpState::locked_out) continue;
            s.pumps[p].state = PumpState::off;
            journal.note(core::EventKind::pump_state, static_cast<std::uint8_t>(PumpState::off), p,
                         core::Reason::selector_off);
        }
    }

    /// The emergency stop and its reset, with the mistakes of the plan.
    void renew_stop(core::EmergencyStop& stop, const core::Picture& picture, core::Journal& journal) const {
        const bool asked = inputs_.people.reset_emergency_stop;
        core::renew_emergency_stop(stop, picture, asked, journal);
        if (plan_.reset_ignored && picture.emergency_stop_released) stop = {};
        if (plan_.reset_too_early && asked) stop = {};
    }

    /// A scan after the sequencer carried on, before anything new is begun.
    struct Scan {
        const Deviations& deviations;
        const Station& station;
        const core::SequencerInputs& seen;
        const SequencerState& after;
        core::Journal& journal;
        std::uint32_t& number;
    };

    /// One scan, and then every choice that staging could make in it.
    void scan(const Deviations& deviations) {
        bool in_sync = false;
        const Station station = moved(point_.station, before_, deviations, plan_.pumps, in_sync);
        show(station, deviations, in_sync, plan_.pumps, inputs_);
        core::Picture picture = core::picture_of(inputs_, sequencer_settings_);
        if (plan_.spoil_picture != nullptr) plan_.spoil_picture(picture);

        core::SequencerInputs seen{picture, {}, minimum_hz};
        SequencerState after = point_.sequencer;
        if (after.main.step != Step::idle && core::row_of(after.main.step, *after.table).advice.synchronise)
            seen.sync = core::read_sync(inputs_.drive, inputs_.line, sequencer_settings_.sync,
                                        sequencer_settings_.sync.line_side_closing_ms);
        if (plan_.sync_always_within) seen.sync.within = true;

        std::uint32_t number = 0;
        core::Journal journal(advice_, number);
        renew_stop(after.emergency_stop, picture, journal);
        core::carry_on(after, seen, sequencer_settings_, journal);
        const bool stops = picture.emergency_stop && !plan_.stop_ignored;
        const bool supply_lost = occurs(deviations, Kind::supply_lost);
        if (stops)
            core::stop_all(after, core::Permissive::emergency_stop, core::Reason::emergency_stop, {},
                           picture.time_ms, journal);
        if (supply_lost)
            core::stop_all(after, core::Permissive::supply, core::Reason::supply_lost, {}, picture.time_ms,
                           journal);
        reset_lock_outs(after, picture, journal);
        judge(deviations, station, seen, after, {});
        if (supply_lost || stops) return;
        if (after.main.step == Step::idle)
            make_every_choice({deviations, station, seen, after, journal, number});
        if (core::may_call_stop_off(after))
            call_stop_off({deviations, station, seen, after, journal, number});
    }

    /// The staging may keep a pump running that ramps down.
    void call_stop_off(const Scan& at) {
        SequencerState kept = at.after;
        core::call_stop_off(kept, core::Reason::forecast_short, {}, at.journal);
        judge(at.deviations, at.station, at.seen, kept, {});
    }

    /// Begins a sequence after the scan, and judges the result.
    void choose(const Scan& at, std::uint8_t events, std::uint32_t number, const Choice& choice) {
        const Sequence sequence = choice.sequence;
        const std::int64_t now_ms = at.seen.picture.time_ms;
        advice_.event_count = events;
        at.number = number;
        SequencerState begun = at.after;
        const bool more = sequence == Sequence::start_on_drive || sequence == Sequence::line_start;
        const core::Reason why = more ? core::Reason::value_past_start
                                      : (sequence == Sequence::hand_over ? core::Reason::demand_at_top
                                                                         : core::Reason::demand_at_bottom);
        std::uint32_t first = 0;
        if (sequence == Sequence::stop_from_line)
            core::begin_line_stop(begun, choice.pump, why, {}, now_ms, at.journal);
        else if (sequence == Sequence::line_start)
            first = core::begin_line_start(begun, choice.pump, why, {}, now_ms, at.journal);
        else
            first = core::begin(begun, sequence, core::first_step(sequence), choice.pump, why, {}, now_ms,
                                at.journal);
        // The staging, which chooses the pump of a start, has no part in the exploration.
        if (more)
            at.journal.note(core::EventKind::pump_chosen, static_cast<std::uint8_t>(sequence), choice.pump,
                            core::Reason::only_pump_free, {}, first);
        judge(at.deviations, at.station, at.seen, begun, choice);
    }

    /// Judges every sequence that the permissives allow to begin.
    void make_every_choice(const Scan& at) {
        const core::Picture& picture = at.seen.picture;
        const SequencerState& after = at.after;
        const core::Settings& settings = sequencer_settings_;
        constexpr core::Permissive none = core::Permissive::none;
        core::StationPermit permit;
        permit.settled = permit.data_starts = true;
        const std::uint8_t events = advice_.event_count;
        const std::uint32_t number = at.number;
        const auto chosen = [&](Sequence sequence, std::uint8_t pump) {
            choose(at, events, number, {sequence, pump});
        };
        std::int64_t wait_ms = 0;
        const bool drive_usable = core::why_no_drive(after, picture) == none;
        const bool takes = plan_.moving_drive_ignored ? core::drive_is_free(picture, settings)
                                                      : core::drive_can_take(picture, settings);
        const bool drive_free = (plan_.free_drive_ignored || takes) && drive_usable;
        const bool transfer = core::why_no_transfer(after, picture, permit, settings, wait_ms) == none;
        const auto may_stop = [&](std::uint8_t pump) {
            return core::why_not_stop(after, permit, settings, pump, picture.time_ms, wait_ms) == none;
        };
        // The staging begins nothing during a line start. The laws hold even if transfers and stops begin then.
        const bool starting = core::line_starting_pump(after) != no_pump;
        const auto may_start = [&](std::uint8_t pump, bool on_line) {
            return !starting &&
                   core::why_not_start(after, picture, permit, settings, pump, on_line, wait_ms) == none;
        };
        const bool on_drive = after.drive_pump != no_pump;
        if (on_drive && transfer) chosen(Sequence::hand_over, after.drive_pump);
        if (on_drive && may_stop(after.drive_pump)) chosen(Sequence::stop_on_drive, after.drive_pump);
        const bool line_serves = plan_.line_start_always || core::line_start_serves(after, picture, settings);
        for (std::uint8_t p = 0; p < plan_.pumps; ++p) {
            const PumpState state = after.pumps[p].state;
            if (state == PumpState::off && core::why_unavailable(picture, p) == none) {
                if (!on_drive && drive_free && may_start(p, false)) chosen(Sequence::start_on_drive, p);
                if (line_serves && may_start(p, true)) chosen(Sequence::line_start, p);
            }
            if (state == PumpState::on_line && after.line_run[p].step == Step::idle && may_stop(p)) {
                if (!on_drive && drive_free && transfer) chosen(Sequence::take_back, p);
                chosen(Sequence::stop_from_line, p);
            }
        }
    }

    void judge(const Deviations& deviations, const Station& station, const core::SequencerInputs& seen,
               const SequencerState& after, const Choice& choice) {
        ++findings_.edges;
        doubles::compose(after, seen, steady_hz, sequencer_settings_, advice_);
        advice_.service = core::Service::normal;
        advice_.measured_quality = core::Quality::good;
        advice_.measured_cause = core::Cause::none;
        advice_.measured_m = 2;
        for (std::size_t i = 0; i < advice_.event_count; ++i) {
            const core::Event& event = advice_.events[i];
            if (event.what == core::EventKind::sequence_done &&
                after.pumps[event.pump].state == straight_ends[event.detail])
                ++findings_.done[event.detail];
            if (event.what == core::EventKind::sequence_done && after.drive_pump != no_pump &&
                event.detail == static_cast<std::uint8_t>(Sequence::line_start))
                ++findings_.line_starts_in_addition;
        }
        if (after.main.step != Step::idle && core::line_starting_pump(after) != no_pump)
            ++findings_.edges_of_both;
        history_ = point_.history;
        broken_.clear();
        laws::judge_scan(settings_, history_, inputs_, advice_, broken_);
        if (!failures_are_in_the_events(after, history_, plan_.pumps, inputs_.time_ms))
            broken_.push_back({11, "the sequencer remembers a failure that no event shows"});
        if (!broken_.empty()) {
            ++findings_.broken;
            constexpr std::size_t ways_most = 5;
            if (findings_.ways.size() < ways_most) findings_.ways.push_back(way_to(deviations, choice));
            return;  // the exploration does not continue behind a broken law
        }
        int spent = spent_[at_];
        for (const Deviation& one : deviations) spent += one.kind == Kind::none ? 0 : 1;
        constexpr int spent_most = 255;
        add(packed(after, history_, station, plan_.pumps, inputs_.time_ms), {at_, deviations, choice},
            plan_.deviations_per_path < 0 ? std::uint8_t{0}
                                          : static_cast<std::uint8_t>(std::min(spent, spent_most)));
    }

    static std::string in_words(const Deviations& deviations, const Choice& choice) {
        std::string text = named(deviations);
        if (choice.sequence != Sequence::none)
            text += " begin " + std::to_string(static_cast<int>(choice.sequence)) + " of " +
                    std::to_string(choice.pump + 1);
        return text.empty() ? " as advised" : text;
    }

    std::string way_to(const Deviations& deviations, const Choice& choice) const {
        std::vector<std::string> lines;
        for (const laws::Broken& broken : broken_)
            lines.push_back("law " + std::to_string(broken.law) + ": " + broken.figures);
        lines.push_back("last:" + in_words(deviations, choice));
        for (std::uint32_t at = at_; at != 0; at = ways_[at].from) {
            lines.push_back("  to step " + std::to_string(static_cast<int>(step_of(keys_[at]))) + ":" +
                            in_words(ways_[at].deviations, ways_[at].choice));
        }
        std::reverse(lines.begin(), lines.end());
        std::string text;
        for (const std::string& line : lines) text += line + "\n";
        return text;
    }

    Plan plan_;
    Settings settings_;            ///< the laws judge by these
    Settings sequencer_settings_;  ///< the sequencer works with these
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
    s.step.overlap_ms = 3 * tick;
    s.step.drive_start_ms = tick;
    s.step.ramp_margin_ms = tick;
    s.step.synchronise_ms = 3 * tick;
    s.step.retry_pause_ms = tick;
    s.step.transfer_pause_ms = 3 * tick;
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
