// Limits of steps; see the header.
#include "controller/core/step_limits.hpp"

#include <algorithm>
#include <array>

namespace freshet::core {

namespace {

struct LimitRow {
    Limit limit;
    std::int64_t (*ms)(const Settings&, double minimum_flow_hz) noexcept;
};

constexpr std::array<LimitRow, limit_count> limit_rows{{
    {Limit::close, [](const Settings& s, double) noexcept { return std::int64_t{s.step.close_ms}; }},
    {Limit::open, [](const Settings& s, double) noexcept { return std::int64_t{s.step.open_ms}; }},
    {Limit::joining,
     [](const Settings& s, double) noexcept {
         return std::int64_t{std::min(s.step.close_ms, s.step.overlap_ms)};
     }},
    {Limit::overlap, [](const Settings& s, double) noexcept { return std::int64_t{s.step.overlap_ms}; }},
    {Limit::drive_start,
     [](const Settings& s, double minimum_flow_hz) noexcept {
         return s.step.drive_start_ms + s.step.ramp_margin_ms +
                ramp_ms(minimum_flow_hz, s.drive.ramp_up_hz_s);
     }},
    {Limit::line_ramp,
     [](const Settings& s, double) noexcept {
         return s.step.drive_start_ms + s.step.ramp_margin_ms +
                ramp_ms(s.drive.line_frequency_hz, s.drive.ramp_up_hz_s);
     }},
    {Limit::synchronise,
     [](const Settings& s, double) noexcept { return std::int64_t{s.step.synchronise_ms}; }},
    {Limit::stop_ramp,
     [](const Settings& s, double) noexcept {
         return s.step.ramp_margin_ms + ramp_ms(s.drive.speed_max_hz, s.drive.ramp_down_hz_s);
     }},
    {Limit::drive_stop,
     [](const Settings& s, double) noexcept {
         return s.step.drive_start_ms + ramp_ms(s.drive.speed_max_hz, s.drive.ramp_down_hz_s);
     }},
    {Limit::line_run,
     [](const Settings& s, double) noexcept {
         return std::int64_t{s.step.close_ms} + s.permissives.current_loss_ms;
     }},
}};
static_assert(audit::is_in_order(limit_rows, &LimitRow::limit),
              "every limit needs its row, in the order of the codes");

}  // namespace

std::int64_t limit_ms(Limit limit, const Settings& settings, double minimum_flow_hz) noexcept {
    return limit_rows[static_cast<std::size_t>(limit)].ms(settings, minimum_flow_hz);
}

}  // namespace freshet::core
