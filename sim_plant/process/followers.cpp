// Waits for advice, or takes the latest advice.
// One reason to change: see the header.
#include "sim_plant/process/followers.hpp"

#include <algorithm>

namespace freshet::plant_process {

using Clock = std::chrono::steady_clock;

LockstepFollower::LockstepFollower(const modbus::Endpoint& advice, const modbus::ClientOptions& client,
                                   std::chrono::milliseconds stall)
    : place_(modbus::place_of(advice)), link_(advice, client), watch_(stall, Clock::now()) {}

LockstepFollower::Outcome LockstepFollower::wait_for(std::int64_t time_ms, service::StopSignal& stop) {
    while (!stop.asked()) {
        if (const auto read = link_.read(); read && read->whole && read->time_ms == time_ms) {
            read_ = *read;
            watch_.stepped(Clock::now());
            return Outcome::advice;
        }
        const auto now = Clock::now();
        if (watch_.stalled(now)) return Outcome::stalled;
        // The server has already held its answer for a while. A lost link waits for the next attempt.
        if (!link_.link_up())
            stop.wait_until(std::clamp(link_.next_try(), now + std::chrono::milliseconds(1),
                                       now + std::chrono::milliseconds(100)));
    }
    return Outcome::stopped;
}

std::string LockstepFollower::message() const {
    return link_.link_up() ? watch_.message() : watch_.message() + ": " + place_ + ": " + link_.trouble();
}

std::string FreeFollower::trouble() const {
    const modbus::AdviceReader::Latest latest = reader_.latest();
    return latest.link_up ? std::string() : place_ + ": " + latest.trouble;
}

Guidance FreeFollower::at(std::int64_t time_ms) {
    Guidance guidance{reader_.latest().read, modbus::Validity::none_yet};
    guidance.validity = watch_.judge(guidance.read, time_ms);
    return guidance;
}

}  // namespace freshet::plant_process
