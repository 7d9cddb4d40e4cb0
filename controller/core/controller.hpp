// The scan: one pure step from what is seen to what is advised.
// One reason to change: the order in which the rules of a scan are asked.
//
// Each rule stands in a file of its own, named after the question that it answers:
//
//   see          sight.hpp            what is read, believed and known in this scan
//   permit       service.hpp          which service is given
//                station_permit.hpp   whether pumps may start, and whether all must stop
//   take over    adoption.hpp         what is done with a station that is found running
//   carry on     sequencer.hpp        the sequences under way, by their tables
//   protect      protection.hpp       what stops every pump at once
//                availability.hpp     which idle pumps are available
//   follow       following.hpp        the speed of the drive pump
//   stage        balance.hpp          the inflow
//                stage.hpp            whether a pump is brought on, handed over, taken back or let go
//   tell         wear.hpp             hours and starts
//                alarm_conditions.hpp alarms
//
// Every rule belongs to one of two tasks. Neither is late:
// - The fast task runs in every scan: seeing two-state signals and measured values, the permit, the
// sequences,
//   protection, availability, the speed, the alarms of water and transmitters. What protects or what a
//   sequence waits for is therefore never older than one scan.
// - The slow task runs once a second, and at once when a two-state signal, a selector or a motor changed or
// an
//   event was noted: motor currents and temperatures (in every scan while a sequence is under way or a
//   current is missing), the volume balance, the staging, hours, the alarms of equipment. The water moves
//   slowly: its delays are seconds to minutes, and a second is a part of them. Equipment announces itself by
//   a change.
#pragma once

#include "controller/core/adoption.hpp"
#include "controller/core/advice.hpp"
#include "controller/core/alarm_conditions.hpp"
#include "controller/core/alarms.hpp"
#include "controller/core/balance.hpp"
#include "controller/core/flow_table.hpp"
#include "controller/core/following.hpp"
#include "controller/core/inputs.hpp"
#include "controller/core/memo.hpp"
#include "controller/core/need.hpp"
#include "controller/core/retained.hpp"
#include "controller/core/scan_clock.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/service.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/settings_check.hpp"
#include "controller/core/sight.hpp"
#include "controller/core/staging.hpp"
#include "controller/core/wear.hpp"

namespace freshet::core {

/// The supervisory controller of one station. Same inputs in the same order give the same advice, bit for
/// bit.
class Controller {
  public:
    /// `settings` are checked and copied. Settings that fail the check are refused: the controller stays in
    /// service `waiting` for ever and asks for nothing. `kept` is what an earlier controller of the station
    /// left, or null; it is copied, too, and goes before the settings' initial hours and starts.
    explicit Controller(const Settings& settings, const Retained* kept = nullptr) noexcept;

    /// One scan. Never allocates or throws; bounded work. The view is valid until the next scan. Time that
    /// goes back is refused: the last advice stays, and the journal says so.
    const Advice& scan(const Inputs& inputs) noexcept;

    const Settings& settings() const noexcept { return settings_; }
    /// Why the settings were refused; sound() where they were not.
    const SettingsFinding& refused() const noexcept { return refused_; }
    /// Of the last scan.
    const Advice& advice() const noexcept { return advice_; }

    /// What a later controller of the station must know, as of the last scan; meant after the first one. A
    /// controller whose settings were refused gives back what it was given.
    Retained retained() const noexcept {
        return refused_.sound() ? retain(sequencer_, alarms_, clock_.last_ms()) : kept_;
    }

  private:
    /// The combination that a minimum-flow speed is for.
    struct SpeedKey {
        double measured_m = 0;
        std::size_t beside = 0;  ///< pumps on the line beside the drive pump
        bool operator==(const SpeedKey&) const = default;
    };

    /// Which tasks are due in a scan.
    struct Task {
        const ScanTime& time;
        bool changed;  ///< something changed, or the station has just been taken over
        bool closely;  ///< a sequence is under way, or a motor current is missing
        bool slow() const noexcept { return changed || time.second_passed; }
        bool carries_on() const noexcept { return changed || closely; }
    };

    Settings settings_;
    SettingsFinding refused_;  ///< before everything that is worked out from settings
    NeedMarks marks_;
    FlowTable flows_;
    ScanClock clock_;
    Sight sight_;
    DriveWatch drive_;
    StationPermit permit_;
    Adoption adoption_;
    SequencerState sequencer_;
    Following following_;
    Balance balance_;
    StagingState staging_;
    Wear wear_;
    AlarmState alarms_;
    AlarmConditions conditions_;
    std::uint32_t slow_alarms_ = 0;  ///< conditions of the station from the last slow task
    Memo<SpeedKey, double> minimum_flow_hz_;
    bool event_noted_ = true;  ///< in the last scan; the first scan looks at everything
    Advice advice_;
    std::uint32_t last_event_ = 0;
    bool has_kept_ = false;
    Retained kept_;  ///< last, because only the first scan looks at it

    const Advice& refuse_time(std::int64_t now_ms, Journal& journal) noexcept;
    const Advice& advise_nothing(std::int64_t now_ms) noexcept;
    Service serve(bool settled, Journal& journal) noexcept;
    double minimum_flow_hz() noexcept;
    SequencerInputs sequencer_inputs(const Inputs& inputs) noexcept;
    bool has_events() const noexcept { return advice_.event_count > 0; }
    void work(const SequencerInputs& seen, Service service, const Task& task, Journal& journal) noexcept;
    void tell(const Inputs& inputs, Service service, const Task& task, Journal& journal) noexcept;
};

}  // namespace freshet::core
