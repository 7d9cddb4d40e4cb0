// Sums up alarms. The header explains the figures.
#include "controller/record/alarm_figures.hpp"

#include <algorithm>
#include <string>

#include "controller/record/seconds.hpp"
#include "controller/words/alarms.hpp"

namespace freshet::record {
namespace {

std::string_view name_of(std::size_t place, std::size_t code) {
    return place == 0 ? words::entry_of(words::station_alarms, static_cast<core::StationAlarm>(code)).name
                      : words::entry_of(words::pump_alarms, static_cast<core::PumpAlarm>(code)).name;
}

}  // namespace

std::int64_t AlarmFigures::One::stood_ms(std::int64_t now_ms) const {
    return since_ms == core::never_ms ? longest_ms : std::max(longest_ms, now_ms - since_ms);
}

AlarmFigures::One& AlarmFigures::alarm_of(const core::Event& event) {
    const std::size_t place = event.pump < core::pumps_max ? 1U + event.pump : 0U;
    return alarms_[place][event.detail % codes_max];
}

void AlarmFigures::forget_before(std::int64_t now_ms) {
    while (!recent_ms_.empty() && now_ms - recent_ms_.front() >= window_ms) recent_ms_.pop_front();
    if (recent_ms_.size() < flood_ends) flood_ = false;
}

void AlarmFigures::raise(One& alarm, std::int64_t now_ms) {
    ++raised_;
    ++alarm.raised;
    alarm.since_ms = now_ms;
    std::rotate(alarm.raised_at_ms.begin(), alarm.raised_at_ms.begin() + 1, alarm.raised_at_ms.end());
    alarm.raised_at_ms.back() = now_ms;
    const std::int64_t first_ms = alarm.raised_at_ms.front();
    alarm.chattered = alarm.chattered || (first_ms != core::never_ms && now_ms - first_ms < chatter_ms);
    forget_before(now_ms);
    recent_ms_.push_back(now_ms);
    peak_ = std::max(peak_, recent_ms_.size());
    if (!flood_ && recent_ms_.size() > flood_begins) {
        flood_ = true;
        ++floods_;
    }
}

void AlarmFigures::add(const core::Advice& advice) {
    const std::size_t said = std::min<std::size_t>(advice.event_count, advice.events.size());
    for (std::size_t i = 0; i < said; ++i) {
        const core::Event& event = advice.events[i];
        if (event.what == core::EventKind::alarm_raised) {
            raise(alarm_of(event), advice.time_ms);
        } else if (event.what == core::EventKind::alarm_returned ||
                   event.what == core::EventKind::alarm_shelved ||
                   event.what == core::EventKind::alarm_out_of_service) {
            One& alarm = alarm_of(event);
            alarm.longest_ms = alarm.stood_ms(advice.time_ms);
            alarm.since_ms = core::never_ms;
        }
    }
}

void AlarmFigures::sum_up(RunSummary& summary, std::int64_t now_ms) const {
    summary.alarms = raised_;
    summary.alarms_peak_10_min = static_cast<std::uint32_t>(peak_);
    summary.alarm_floods = floods_;
    for (std::size_t place = 0; place < stations_and_pumps; ++place) {
        for (std::size_t code = 0; code < codes_max; ++code) {
            const One& alarm = alarms_[place][code];
            if (alarm.raised == 0) continue;
            const std::string_view name = name_of(place, code);
            const auto known = std::find_if(summary.alarms_by_name.begin(), summary.alarms_by_name.end(),
                                            [name](const auto& entry) { return entry.first == name; });
            if (known == summary.alarms_by_name.end())
                summary.alarms_by_name.emplace_back(name, alarm.raised);
            else
                known->second += alarm.raised;
            summary.alarms_standing += alarm.since_ms != core::never_ms ? 1U : 0U;
            summary.alarms_chattering += alarm.chattered ? 1U : 0U;
            const std::int64_t stood_ms = alarm.stood_ms(now_ms);
            summary.alarms_stale += stood_ms > stale_ms ? 1U : 0U;
            const double stood_s = seconds_of(stood_ms);
            if (summary.alarm_longest.empty() || stood_s > summary.alarm_longest_s) {
                summary.alarm_longest_s = stood_s;
                summary.alarm_longest = place == 0
                                            ? std::string(name)
                                            : "pump_" + std::to_string(place) + "." + std::string(name);
            }
        }
    }
}

}  // namespace freshet::record
