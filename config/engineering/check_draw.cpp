// Fill and draw against the duty of the station.
// One reason to change: a contradiction between fill and draw and the station.
#include "config/engineering/checks.hpp"

namespace freshet::config {

/// People in a zone of pressure would feel a pressure that moves from mark to mark.
void check_draw(Findings& findings, const Station& station, const core::Settings& settings) {
    if (!settings.draw.wanted || station.duty != Duty::hold_pressure) return;
    refuse(findings, "control.demand.water",
           "water is \"fill_and_draw\", but the duty \"hold_pressure\" holds a pressure; expected \"hold\"");
}

}  // namespace freshet::config
