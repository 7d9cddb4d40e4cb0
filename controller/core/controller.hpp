// The scan: one pure step from inputs to advice.
// One reason to change: the order of the rules in a scan.
//
// Each rule has a file of its own, named after the question that the rule answers:
//
//   see          sight.hpp            which readings are known and believed in this scan
//   permit       service.hpp          which service the controller gives
//                hold.hpp             how long advice without readings lasts
//                station_permit.hpp   whether pumps may start, and whether all must stop
//                emergency_stop.hpp   whether a person has reset the emergency stop
//                restart.hpp          what delays the first starts after an outage
//   take over    adoption.hpp         how the controller takes over pumps that already run
//   carry on     sequencer.hpp        the sequences under way, by their tables
//   protect      protection.hpp       what stops every pump at once
//                trips.hpp            how many trips are too many
//                availability.hpp     which idle pumps are available
//   follow       following.hpp        the speed of the drive pump
//                water_duty.hpp       what the duty asks of the water: the marks in force, and a draw
//   stage        balance.hpp          the inflow
//                delivery.hpp         whether each pump delivers what its curve says
//                stage.hpp            whether a pump starts, is handed over, is taken back or stops
//   tell         wear.hpp             hours and starts
//                alarm_conditions.hpp alarms
//
// Every rule belongs to one of two tasks.
//
// The fast task runs in every scan. It holds:
//   - two-state signals, measured values, floats that must stop pumps, the permit and the protection;
//   - every sequence under way;
//   - the speed of the drive pump.
// So no protective rule and no sequence acts on inputs older than one scan.
//
// The slow task runs once a second. It also runs at once when a two-state signal, a selector, a motor, the state
// of the line or the quality of the measured value changed, in the scan after an event, and with an order of
// people. It holds:
//   - the service, the emergency stop's reset and the return after an outage;
//   - motor currents and winding temperatures;
//   - the availability of idle pumps;
//   - the volume balance and the delivery of the pumps, strictly once a second;
//   - the staging;
//   - the hours of the pumps;
//   - the vote of the witnesses while no float moves;
//   - the alarms. An alarm calls a person, who needs minutes.
// Motor currents and winding temperatures are read in every scan while a sequence is under way or a current
// is missing. The slow task is never late. Water moves slowly, so its delays last from seconds to minutes.
// Equipment makes itself known by a change, and a change starts the slow task at once.
#pragma once

#include "controller/core/adoption.hpp"
#include "controller/core/advice.hpp"
#include "controller/core/alarm_conditions.hpp"
#include "controller/core/alarms.hpp"
#include "controller/core/balance.hpp"
#include "controller/core/composing.hpp"
#include "controller/core/delivery.hpp"
#include "controller/core/flow_table.hpp"
#include "controller/core/following.hpp"
#include "controller/core/hold.hpp"
#include "controller/core/inputs.hpp"
#include "controller/core/memo.hpp"
#include "controller/core/need.hpp"
#include "controller/core/restart.hpp"
#include "controller/core/retained.hpp"
#include "controller/core/scan_clock.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/service.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/settings_check.hpp"
#include "controller/core/sight.hpp"
#include "controller/core/staging.hpp"
#include "controller/core/water_duty.hpp"
#include "controller/core/wear.hpp"

namespace freshet::core {

/// The supervisory controller of one station. The same inputs in the same order give the same advice, bit for
/// bit.
class Controller {
  public:
    /// Checks and copies `settings`. Settings that fail the check are refused. The controller then stays in
    /// service `waiting` and advises nothing, and refused() gives the reason. `kept` is the record of an
    /// earlier controller of the station, or null. The controller copies the record. The record's hours and
    /// starts replace the initial hours and starts of the settings.
    explicit Controller(const Settings& settings, const Retained* kept = nullptr) noexcept;

    /// Does one scan and returns the advice, which is valid until the next scan. Never allocates memory and
    /// never throws. The work is bounded. A time before the last scan is refused. The last advice then stays,
    /// with one event that has Reason::time_back.
    const Advice& scan(const Inputs& inputs) noexcept;

    /// The copy of the settings.
    const Settings& settings() const noexcept { return settings_; }
    /// Why the settings were refused. sound() is true when the settings passed the check.
    const SettingsFinding& refused() const noexcept { return refused_; }
    /// The advice of the last scan.
    const Advice& advice() const noexcept { return advice_; }

    /// The record for a later controller of the station, as of the last scan. Call after the first scan. A
    /// controller with refused settings returns the record that it was given.
    Retained retained() const noexcept {
        return refused_.sound() ? retain(sequencer_, alarms_, clock_.last_ms()) : kept_;
    }

  private:
    /// The combination that a minimum-flow speed belongs to.
    struct SpeedKey {
        double measured_m = 0;
        std::size_t others = 0;  ///< pumps on the line, without the drive pump
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
    SettingsFinding refused_;  ///< declared early, because later members need checked settings
    NeedMarks marks_;          ///< of the settings; the witnesses and the hold keep to them
    FlowTable flows_;
    ScanClock clock_;
    Sight sight_;
    DriveWatch drive_;
    Service service_ = Service::waiting;  ///< as the rules count it, also after the time in `hold` is over
    StationPermit permit_;
    Outage outage_;
    Adoption adoption_;
    SequencerState sequencer_;
    Hold hold_;
    Following following_;
    SpeedReference reference_;
    Balance balance_;
    DeliveryWatch delivery_;
    WaterDuty duty_;
    StagingState staging_;
    Wear wear_;
    AlarmState alarms_;
    AlarmConditions conditions_;
    Memo<SpeedKey, double> minimum_flow_hz_;
    bool event_noted_ = true;  ///< in the last scan; true at first, so that the first scan runs every task
    Advice advice_;
    std::uint32_t last_event_ = 0;
    bool has_kept_ = false;
    Retained kept_;  ///< declared last, because only the first scan reads the record

    const Advice& refuse_time(std::int64_t now_ms, Journal& journal) noexcept;
    const Advice& advise_nothing(std::int64_t now_ms) noexcept;
    void serve(const Inputs& inputs, Journal& journal) noexcept;
    double minimum_flow_hz() noexcept;
    SequencerInputs sequencer_inputs(const Inputs& inputs) noexcept;
    bool has_events() const noexcept { return advice_.event_count > 0; }
    void work(const SequencerInputs& seen, const Task& task, Journal& journal) noexcept;
    void tell(const Inputs& inputs, const Task& task, Journal& journal) noexcept;
    void judge_alarms_of(const Inputs& inputs, Journal& journal) noexcept;
};

}  // namespace freshet::core
