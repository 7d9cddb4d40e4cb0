// Keeping hours and starts; see the header.
#include "controller/core/wear.hpp"

namespace freshet::core {

void keep_hours(Wear& wear, SequencerState& sequencer, const Picture& picture,
                const Settings& settings) noexcept {
    note_fed(sequencer, picture);
    for (std::size_t pump = 0; pump < settings.pump_count; ++pump)
        if (has(sequencer.fed, pump)) sequencer.pumps[pump].run_ms += wear.hours_due_ms;
    wear.hours_due_ms = 0;
}

void keep_figures(Wear& wear, const SequencerState& sequencer, bool changed, std::int64_t now_ms,
                  const Settings& settings, Advice& advice) noexcept {
    constexpr std::int64_t minute_ms = 60'000;
    if (!changed && now_ms - wear.figures_ms < minute_ms) return;
    wear.figures_ms = now_ms;
    for (std::size_t pump = 0; pump < settings.pump_count; ++pump) {
        const PumpRecord& record = sequencer.pumps[pump];
        advice.figures[pump] = {record.run_ms, record.starts_total, record.line_starts_total,
                                record.starts.within_hour(now_ms)};
    }
}

}  // namespace freshet::core
