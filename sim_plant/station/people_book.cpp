// Looks up what people have done; see the header.
// One reason to change: see there.
#include "sim_plant/station/people_book.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace freshet::plant {

using config::PeopleAction;

namespace {

constexpr std::int64_t press_ms = 1000;
constexpr double ms_per_s = 1000;

}  // namespace

PeopleBook::PeopleBook(const config::Scenario& scenario) {
    for (const config::PeopleAct& act : scenario.people)
        acts_.push_back({scenario.start_ms + std::llround(act.at_s * ms_per_s), act.action});
}

config::PeopleCounts PeopleBook::counts_at(std::int64_t now_ms) const {
    config::PeopleCounts counts;
    for (const Act& act : acts_) {
        if (act.at_ms > now_ms) continue;
        if (act.action == PeopleAction::reset) ++counts.resets;
        if (act.action == PeopleAction::acknowledge) ++counts.acknowledgements;
    }
    return counts;
}

bool PeopleBook::presses_reset_at(std::int64_t now_ms) const {
    return std::any_of(acts_.begin(), acts_.end(), [now_ms](const Act& act) {
        return act.action == PeopleAction::press_reset && act.at_ms <= now_ms &&
               now_ms < act.at_ms + press_ms;
    });
}

std::int64_t PeopleBook::next_press_change_ms(std::int64_t now_ms) const {
    std::int64_t next_ms = std::numeric_limits<std::int64_t>::max();
    for (const Act& act : acts_) {
        if (act.action != PeopleAction::press_reset) continue;
        for (const std::int64_t change_ms : {act.at_ms, act.at_ms + press_ms})
            if (change_ms > now_ms) next_ms = std::min(next_ms, change_ms);
    }
    return next_ms;
}

}  // namespace freshet::plant
