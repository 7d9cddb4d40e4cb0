// The scan: one pure step from what is seen to what is advised.
// One reason to change: the order in which the pieces of a scan are asked.
#pragma once

#include "controller/core/advice.hpp"
#include "controller/core/alarms.hpp"
#include "controller/core/demand.hpp"
#include "controller/core/flow_table.hpp"
#include "controller/core/forecast.hpp"
#include "controller/core/inputs.hpp"
#include "controller/core/permissives.hpp"
#include "controller/core/picture.hpp"
#include "controller/core/retained.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/settings.hpp"
#include "controller/core/signals.hpp"
#include "controller/core/staging.hpp"

namespace freshet::core {

/// The supervisory controller of one station. Same inputs in the same order give the same advice, bit for
/// bit.
class Controller {
  public:
    /// `settings` must have passed the loader's checks; they are copied. `kept` is what an earlier controller
    /// of the station left, or null; it is copied, too, and stands before the settings' initial hours and
    /// starts.
    explicit Controller(const Settings& settings, const Retained* kept = nullptr) noexcept;

    /// One scan. Never allocates or throws; bounded work. The view is valid until the next scan. Time that
    /// goes back is refused: the last advice stands and the journal says so.
    const Advice& scan(const Inputs& inputs) noexcept;

    const Settings& settings() const noexcept { return settings_; }
    /// Of the last scan.
    const Advice& advice() const noexcept { return advice_; }

    /// What a later controller of the station must know, as of the last scan; meant after the first one.
    Retained retained() const noexcept { return retain(sequencer_, alarms_, last_time_ms_); }

  private:
    struct Held {  ///< since when a condition has held
        std::int64_t pressure_high_ms = never_ms;
        std::int64_t supply_poor_ms = never_ms, high_float_ms = never_ms, low_float_ms = never_ms,
                     consistent_ms = never_ms, drive_runs_on_ms = never_ms;
    };

    Settings settings_;
    FlowTable flows_;
    NeedMarks marks_;
    Advice advice_;
    std::uint32_t last_event_ = 0;
    std::int64_t last_time_ms_ = never_ms;
    SignalRecords signals_;
    TransmitterRecord pressure_;  ///< of the header, where it is limited and not the measured value
    bool pressure_high_ = false;
    SequencerState sequencer_;
    StagingState staging_;
    Demand demand_;
    Observer observer_;
    AlarmState alarms_;
    Held held_;
    std::uint8_t followed_pump_ = no_pump;  ///< whose speed the demand follows
    Service followed_service_ = Service::hold;
    bool adopted_ = false;  ///< the picture found at start has been taken over
    bool supply_lost_ = false;
    bool drive_runs_on_ = false;  ///< unadvised and with nothing to do, for longer than a stop takes
    Picture picture_;
    std::uint64_t seen_revision_ = 0;  ///< of the two-state signals behind the picture
    std::int64_t look_ms_ = never_ms;  ///< last of the looks that are taken once a second
    std::uint64_t quiet_revision_ =
        0;  ///< of the inputs under which nothing waits for the time; 0: something does
    double quiet_need_m_ = 0;
    bool busy_ = false;  ///< a run is under way, or a time runs that only the sequencer watches
    double lowest_hz_ = 0,
           lowest_for_m_ = 0;  ///< minimum-flow speed, and the measured value and the pumps it is for
    std::size_t lowest_beside_ = pumps_max + 1;
    std::int64_t figures_ms_ = never_ms;
    bool stirred_ = true;  ///< something changed in the last scan, so this one looks at everything
    double area_m2_ = 0;   ///< of the store at the measured value, this scan
    AlarmConditions conditions_;
    std::uint32_t standing_alarms_ = 0;  ///< those that change only when something stirs
    Tuning tuning_;
    std::int64_t hours_due_ms_ = 0;          ///< not yet added to the pumps' hours
    double need_sum_m_ = 0, watched_s_ = 0;  ///< since the observer's last step
    int needs_ = 0;
    double tuned_area_m2_ = 0;
    std::size_t tuned_beside_ = pumps_max + 1;
    bool has_kept_ = false;
    Retained kept_;  ///< last, as it is looked at once and the rest in every scan

    bool judge_drive_runs_on(const Picture& picture) noexcept;
    void judge_pressure(const Inputs& inputs) noexcept;
    double header_pressure_m() const noexcept;
    Service judge_service(const Picture& picture, const MeasuredValue& measured) const noexcept;
    bool look(const Inputs& inputs, bool& second_passed) noexcept;
    bool is_quiet(const Inputs& inputs) const noexcept;
    const Advice& scan_quietly(const Inputs& inputs, double elapsed_s) noexcept;
    bool waits_for_nothing(const StationPermit& permit) const noexcept;
    bool must_carry_on() const noexcept;
    const Tuning& tuning(std::size_t beside) noexcept;
    StationPermit judge_permit(const Picture& picture, const MeasuredValue& measured, double need_m,
                               Service service, bool settled, bool float_calls, bool float_stops) noexcept;
    void note_quality(const Inputs& inputs, const MeasuredValue& measured, Journal& journal) noexcept;
    double newest_age_ms(const Inputs& inputs) const noexcept;
    AlarmGrounds alarm_grounds(const Inputs& inputs, const MeasuredValue& measured,
                               const StationPermit& permit) const noexcept;
    bool settles(const Picture& picture) noexcept;
    void adopt(const Picture& picture, Journal& journal) noexcept;
    void adopt_pump(const Picture& picture, std::uint8_t pump, std::uint32_t cause,
                    Journal& journal) noexcept;
    void mirror(const Inputs& inputs, const Picture& picture) noexcept;
    void protect(const Picture& picture, const StationPermit& permit, const MeasuredValue& measured,
                 Journal& journal) noexcept;
    void judge_availability(const Picture& picture, Journal& journal) noexcept;
    void follow(const Picture& picture, Service service, double need_m, double lowest_hz, bool float_calls,
                double elapsed_s) noexcept;
    void observe(const Picture& picture, const MeasuredValue& measured, double need_m, double elapsed_s,
                 bool second_passed) noexcept;
    void stage(const Picture& picture, const MeasuredValue& measured, const StationPermit& permit,
               Service service, double need_m, double lowest_hz, bool float_calls, Journal& journal) noexcept;
    std::uint32_t moving_conditions(const MeasuredValue& measured, const StationPermit& permit, double need_m,
                                    bool high_float, bool low_float_off) const noexcept;
    void standing_conditions(const Inputs& inputs, Service service) noexcept;
    double minimum_flow_hz(double measured_m) noexcept;
    void keep_hours() noexcept;
    void keep_figures() noexcept;
};

}  // namespace freshet::core
