// What people do in a scenario: at the controller's panel, and at the reset button of the station.
// One reason to change: something that people of a scenario can do.
#pragma once

#include <cstdint>
#include <vector>

#include "config/scenario.hpp"

namespace freshet::plant {

/// The acts of a run. Times are station time.
class PeopleBook {
  public:
    PeopleBook() = default;
    explicit PeopleBook(const config::Scenario& scenario);

    /// How often people have acted at the controller's panel up to and including `now_ms`.
    config::PeopleCounts counts_at(std::int64_t now_ms) const;
    /// True while somebody presses the reset button of the station.
    bool presses_reset_at(std::int64_t now_ms) const;
    /// When the reset button moves next after `now_ms`. The largest time when the button moves no more.
    std::int64_t next_press_change_ms(std::int64_t now_ms) const;

  private:
    struct Act {
        std::int64_t at_ms = 0;
        config::PeopleAction action = config::PeopleAction::reset;
    };
    std::vector<Act> acts_;
};

}  // namespace freshet::plant
