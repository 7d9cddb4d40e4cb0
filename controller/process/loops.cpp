// Runs the loops around a scan.
// One reason to change: see the header.
#include "controller/process/loops.hpp"

#include <algorithm>
#include <bit>
#include <string>
#include <utility>

#include <spdlog/spdlog.h>

#include "hal/clock/lockstep.hpp"
#include "hal/clock/plant_clock.hpp"
#include "hal/clock/steady_clock.hpp"
#include "hal/service/exit_code.hpp"

namespace freshet::controller_process {
namespace {

using Clock = std::chrono::steady_clock;
using std::chrono::milliseconds;

/// Reports that a link came up or went down. When the link keeps changing, the reports become rarer.
class LinkReport {
  public:
    explicit LinkReport(const modbus::Endpoint& field) : place_(modbus::place_of(field)) {}
    void report(const modbus::FieldSnapshot& snapshot) {
        if (snapshot.batch == 0 || (reported_ && up_ == snapshot.link_up)) return;
        reported_ = true;
        up_ = snapshot.link_up;
        ++changes_;
        constexpr std::uint64_t reported_in_full = 8;
        if (changes_ > reported_in_full && !std::has_single_bit(changes_)) return;
        if (changes_ > reported_in_full) spdlog::warn("the link has changed {} times so far", changes_);
        if (up_) {
            spdlog::info("link to the station is up");
        } else {
            spdlog::warn("link to the station is down ({}: {})", place_, snapshot.trouble);
        }
    }

  private:
    std::string place_;
    bool reported_ = false, up_ = false;
    std::uint64_t changes_ = 0;
};

void report_files(Scanner& scanner) {
    if (const auto failure = scanner.record_failure()) spdlog::error("record: {}", *failure);
    if (const auto news = scanner.keeper_news()) spdlog::warn("kept file: {}", *news);
}

}  // namespace

int run_at_site(modbus::FieldPlan plan, const modbus::Endpoint& field, const modbus::ClientOptions& client,
                Scanner& scanner, service::StopSignal& stop) {
    const clocks::SteadyClock clock;
    modbus::FieldReader reader(std::move(plan), field, client, [&clock] { return clock.now_ms(); });
    modbus::FieldSnapshot snapshot;
    LinkReport link(field);
    const std::int64_t scan_ms = scanner.settings().scan_ms;
    std::uint64_t late = 0;
    for (std::int64_t next_ms = (clock.now_ms() / scan_ms + 1) * scan_ms;
         !stop.wait_until(clock.when(next_ms));) {
        reader.take_newer(snapshot, milliseconds(0));
        link.report(snapshot);
        scanner.scan(snapshot, 0, clock.now_ms());
        report_files(scanner);
        next_ms += scan_ms;
        if (next_ms <= clock.now_ms()) {
            // A late scan is not repeated. The next scan comes at its own time.
            ++late;
            if (std::has_single_bit(late)) spdlog::warn("{} scans were late so far", late);
            next_ms = (clock.now_ms() / scan_ms + 1) * scan_ms;
        }
    }
    return service::exit_good;
}

int run_on_bench(modbus::FieldPlan plan, const modbus::Endpoint& field, const modbus::ClientOptions& client,
                 Scanner& scanner, service::StopSignal& stop) {
    modbus::FieldReader reader(std::move(plan), field, client, [] { return std::int64_t{0}; });
    modbus::FieldSnapshot snapshot;
    clocks::PlantClock clock;
    LinkReport link(field);
    const std::int64_t scan_ms = scanner.settings().scan_ms;
    const milliseconds patience(std::clamp<std::int64_t>(scan_ms, 20, 100));
    std::uint32_t connection = 0;
    bool refusal_reported = false;
    while (!stop.asked()) {
        const bool fresh = reader.take_newer(snapshot, patience);
        link.report(snapshot);
        const bool plant_runs = snapshot.link_up && !snapshot.clock_stopped && snapshot.plant_time_ms;
        if (fresh && plant_runs) {
            if (snapshot.connection != connection && clock.rejoin(*snapshot.plant_time_ms, scan_ms)) {
                spdlog::warn(
                    "the plant's clock is behind station time; station time continues from its present "
                    "value");
            }
            connection = snapshot.connection;
            switch (clock.advance(*snapshot.plant_time_ms, Clock::now())) {
                case clocks::ClockStep::first:
                case clocks::ClockStep::forward:
                    scanner.scan(snapshot, clock.offset_ms(), clock.now_ms());
                    break;
                case clocks::ClockStep::same:
                    break;
                case clocks::ClockStep::refused:
                    if (!std::exchange(refusal_reported, true))
                        spdlog::error("the plant's clock went back; the controller ignores the earlier time");
                    break;
            }
        } else if (!plant_runs && clock.coast(Clock::now(), scan_ms)) {
            scanner.scan(snapshot, clock.offset_ms(), clock.now_ms());
        }
        report_files(scanner);
    }
    return service::exit_good;
}

int run_in_lockstep(modbus::FieldPlan plan, const modbus::Endpoint& field,
                    const modbus::ClientOptions& client, milliseconds stall, Scanner& scanner,
                    service::StopSignal& stop) {
    modbus::FieldLink field_link(std::move(plan), field, client);
    clocks::PlantClock clock;
    clocks::StallWatch watch(stall, Clock::now());
    LinkReport link(field);
    while (!stop.asked()) {
        const bool fresh = field_link.poll_in_lockstep();
        const modbus::FieldSnapshot& snapshot = field_link.snapshot();
        link.report(snapshot);
        if (fresh && snapshot.clock_stopped) {
            spdlog::info("the plant's run ended after step {}", watch.steps());
            return service::exit_good;
        }
        auto step = clocks::ClockStep::same;
        if (fresh && snapshot.plant_time_ms) step = clock.advance(*snapshot.plant_time_ms, Clock::now());
        if (step == clocks::ClockStep::refused) {
            spdlog::error("the plant's clock went back at step {}", watch.steps());
            return service::exit_failure;
        }
        if (step == clocks::ClockStep::same) {
            if (watch.stalled(Clock::now())) {
                spdlog::error("{}", watch.message());
                return service::exit_failure;
            }
            // The server has already held its answer for a while. The next request must wait here when there
            // is no answer, or when the server is not a station.
            if (!field_link.connected())
                stop.wait_until(std::min(field_link.next_try(), Clock::now() + milliseconds(100)));
            else if (!snapshot.plant_time_ms)
                stop.wait_until(Clock::now() + milliseconds(10));
            continue;
        }
        scanner.scan(snapshot, 0, clock.now_ms());
        watch.stepped(Clock::now());
        report_files(scanner);
    }
    return service::exit_good;
}

}  // namespace freshet::controller_process
