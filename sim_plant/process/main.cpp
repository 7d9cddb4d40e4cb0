// `freshet-plant`: a simulated station that serves its measurements over Modbus and follows a controller's
// advice. One reason to change: the parts of the process.
#include <chrono>
#include <cmath>
#include <cstdio>
#include <exception>
#include <limits>
#include <memory>
#include <optional>
#include <thread>
#include <utility>

#include <unistd.h>

#include <fmt/format.h>
#include <spdlog/sinks/stdout_color_sinks.h>
#include <spdlog/spdlog.h>

#include "hal/modbus/boards.hpp"
#include "hal/modbus/field_encoder.hpp"
#include "hal/modbus/late_images.hpp"
#include "hal/modbus/read_server.hpp"
#include "hal/service/exit_code.hpp"
#include "hal/service/stop_signal.hpp"
#include "sim_plant/bench/bench.hpp"
#include "sim_plant/bench/case_files.hpp"
#include "sim_plant/bench/link_condition.hpp"
#include "sim_plant/bench/orders_from_advice.hpp"
#include "sim_plant/process/fault_orders.hpp"
#include "sim_plant/process/followers.hpp"
#include "sim_plant/process/live_line.hpp"
#include "sim_plant/process/options.hpp"
#include "sim_plant/process/plant_record.hpp"
#include "sim_plant/station/plant.hpp"

namespace {

using namespace freshet;
using plant_process::FreeFollower;
using plant_process::Guidance;
using plant_process::LiveLine;
using plant_process::LockstepFollower;
using plant_process::Options;
using plant_process::PlantRecord;
using Clock = std::chrono::steady_clock;

/// The server holds a controller's request until the next instant, but no longer than this time.
constexpr std::chrono::milliseconds hold{200};
/// The plant serves the stopped clock for this time at the end of a run.
constexpr std::chrono::milliseconds farewell{2000};

/// In lockstep a reader waits for the bench's own registers, otherwise for the registers of the clock.
modbus::Served served(modbus::FieldBoard& board, bool lockstep) {
    return {[&board](const modbus::Request& request, std::span<std::uint16_t> out) {
                return board.read(request, out);
            },
            [&board, lockstep](const modbus::Request& request) {
                return board.bench_only(request) == lockstep ? board.version(request) : 0;
            },
            {"Freshet project", "freshet-plant", FRESHET_VERSION, "", "Freshet simulated station",
             "simulated, follows advice"},
            [&board](const modbus::Request& request) { return board.bench_only(request); }};
}

/// Keeps station time from running ahead of wall time times speed.
class Pace {
  public:
    Pace(double speed, std::int64_t start_ms) : speed_(speed), start_ms_(start_ms), begun_(Clock::now()) {}
    void wait(std::int64_t time_ms, service::StopSignal& stop) const {
        if (speed_ <= 0) return;
        const std::chrono::duration<double, std::milli> since(static_cast<double>(time_ms - start_ms_) /
                                                              speed_);
        const auto when = begun_ + std::chrono::duration_cast<Clock::duration>(since);
        // A shorter wait is not worth its cost. The next wait makes up for it.
        if (when > Clock::now() + std::chrono::milliseconds(1)) stop.wait_until(when);
    }

  private:
    double speed_;
    std::int64_t start_ms_;
    Clock::time_point begun_;
};

/// The station, its registers and its orders, for one run.
class Run {
  public:
    Run(const Options& options, const bench::CaseFiles& files, modbus::FieldBoard& board,
        modbus::ReadServer& server, PlantRecord& record, service::StopSignal& stop)
        : plant_(files.station.station, files.scenario, files.station.settings.scan_ms),
          encoder_(files.plan),
          board_(board),
          server_(server),
          record_(record),
          stop_(stop),
          live_(options.live_line),
          pace_(options.speed, files.scenario.start_ms),
          pump_count_(files.station.station.pump_count) {
        if (options.instructor) faults_.emplace(STDIN_FILENO);
        const double duration_s = options.duration_s > 0 ? options.duration_s : files.scenario.duration_s;
        steps_ = static_cast<std::uint64_t>(std::llround(duration_s * 1000)) /
                 static_cast<std::uint64_t>(files.station.settings.scan_ms);
    }

    /// Returns an exit code.
    int go(const Options& options) {
        const modbus::TcpEndpoint advice{options.advice.host, std::to_string(options.advice.port)};
        const modbus::ClientOptions client{.response = options.response};
        const int code =
            options.lockstep ? go_in_lockstep(advice, client, options.stall) : go_free(advice, client);
        record_.look_at_faults(plant_);
        live_.end();
        say_farewell();
        return code;
    }

    const plant::Plant& plant() const { return plant_; }

  private:
    int go_in_lockstep(const modbus::TcpEndpoint& advice, const modbus::ClientOptions& client,
                       std::chrono::milliseconds stall) {
        LockstepFollower follower(advice, client, stall);
        for (std::uint64_t step = 0; step < steps_ && !stop_.asked(); ++step) {
            publish_in_lockstep();
            switch (follower.wait_for(plant_.time_ms(), stop_)) {
                case LockstepFollower::Outcome::stopped:
                    return service::exit_good;
                case LockstepFollower::Outcome::stalled:
                    spdlog::error("{}", follower.message());
                    return service::exit_failure;
                case LockstepFollower::Outcome::advice:
                    break;
            }
            step_under({follower.read(), modbus::Validity::valid});
        }
        return service::exit_good;
    }

    int go_free(const modbus::TcpEndpoint& advice, const modbus::ClientOptions& client) {
        FreeFollower follower(advice, client);
        auto reported = modbus::Validity::none_yet;
        for (std::uint64_t step = 0; step < steps_ && !stop_.asked(); ++step) {
            publish();
            const Guidance guidance = follower.at(plant_.time_ms());
            const bool valid = guidance.validity == modbus::Validity::valid;
            if (valid != (reported == modbus::Validity::valid)) {
                reported = guidance.validity;
                live_.end();
                if (valid) {
                    spdlog::info("advice is valid");
                } else {
                    const std::string trouble = follower.trouble();
                    spdlog::warn("advice is void{}{}", trouble.empty() ? "" : ": ", trouble);
                }
            }
            step_under(guidance);
        }
        return service::exit_good;
    }

    void step_under(const Guidance& guidance) {
        record_.stepping(plant_, guidance.read);
        if (guidance.validity == modbus::Validity::valid && bench::asks(guidance.read)) {
            plant_.step(bench::orders_from(guidance.read));
        } else {
            plant_.step();
        }
        if (live_.due())
            live_.show(plant_process::live_text(plant_, pump_count_, guidance.read, guidance.validity));
        pace_.wait(plant_.time_ms(), stop_);
    }

    void obey_instructor() {
        record_.look_at_faults(plant_);
        if (!faults_) return;
        const auto orders = faults_->obey(plant_, pump_count_);
        if (orders.empty()) return;
        record_.ordered(plant_, orders);
        live_.end();
    }

    /// Link faults act in wall time, like the time-outs of the reader.
    void publish() {
        obey_instructor();
        const plant::LinkState& link = plant_.link();
        conduct({.lost = link.lost,
                 .garbled = bench::garbles(link, plant_.time_ms()),
                 .late = std::chrono::milliseconds(link.slow_ms)});
        board_.publish(encoder_.encode(plant_.readings()),
                       {plant_.time_ms(), plant_.time_ms(), plant_.people()});
        server_.changed();
    }

    /// Link faults act in station time. The bench's own registers have no faults. The site's registers show
    /// the readings that arrive.
    void publish_in_lockstep() {
        obey_instructor();
        const modbus::LinkCondition link = bench::condition_of(plant_.link(), plant_.time_ms());
        conduct({.lost_to_requests = link.cause == core::Cause::link_lost,
                 .garbled = link.cause == core::Cause::undecodable});
        const std::int64_t now_ms = plant_.time_ms();
        const auto shown = late_.pass(encoder_.encode(plant_.readings()), now_ms, link.slow_ms);
        board_.publish(shown.image, {now_ms, shown.time_ms, plant_.people()});
        server_.changed();
    }

    void conduct(const modbus::LinkConduct& wanted) {
        if (wanted == conduct_) return;
        conduct_ = wanted;
        server_.conduct(wanted);
    }

    /// A clock that is "not available" ends the wait of a controller, because no further instant will come.
    void say_farewell() {
        config::Readings last = plant_.readings();
        last[config::index_of(config::StationSignal::plant_time)] = std::numeric_limits<double>::quiet_NaN();
        server_.conduct({});
        board_.publish(encoder_.encode(last), {});
        server_.changed();
        const auto until = Clock::now() + farewell;
        while (server_.connections() != 0 && Clock::now() < until) {
            std::this_thread::sleep_for(std::chrono::milliseconds(5));
        }
    }

    plant::Plant plant_;
    modbus::FieldEncoder encoder_;
    modbus::FieldBoard& board_;
    modbus::ReadServer& server_;
    PlantRecord& record_;
    service::StopSignal& stop_;
    LiveLine live_;
    Pace pace_;
    modbus::LinkConduct conduct_;
    modbus::LateImages late_;  ///< used in lockstep only
    std::uint8_t pump_count_;
    std::optional<plant_process::FaultOrders> faults_;  ///< empty when the run has no instructor
    std::uint64_t steps_ = 0;
};

void print_figures(const record::RunSummary& summary) {
    fmt::print(
        stderr,
        "{}: simulated {:.0f} s in {:.1f} s; level {:.2f} to {:.2f} m, overflow {:.1f} m3, hand-overs {}, "
        "take-backs {}, line starts {}\n",
        summary.scenario, summary.simulated_s, summary.wall_s, summary.level_min_m, summary.level_max_m,
        summary.overflow_m3, summary.hand_overs, summary.take_backs, summary.line_starts);
}

int run(const Options& options) {
    const auto files = bench::load_case(options.scenario_file, options.field_map_file);
    if (!files) {
        fmt::print(stderr, "{}", files.error());
        return service::exit_bad_input;
    }
    auto record = PlantRecord::open(options.out_folder, files->scenario, files->station);
    if (!record) {
        fmt::print(stderr, "freshet-plant: {}\n", record.error());
        return service::exit_failure;
    }
    service::StopSignal stop;
    modbus::FieldBoard board(files->plan);
    modbus::ServerOptions server_options;
    server_options.address = options.listen.host;
    server_options.port = options.listen.port;
    server_options.allowed = options.allowed;
    server_options.hold = hold;
    auto server = modbus::ReadServer::start(server_options, served(board, options.lockstep));
    if (!server) {
        fmt::print(stderr, "freshet-plant: {}\n", server.error());
        return service::exit_failure;
    }
    const auto begun = Clock::now();
    Run run(options, *files, board, **server, *record, stop);
    fmt::print("{}", service::listening_line("measurements", {options.listen.host, (*server)->port()}));
    std::fflush(stdout);
    const int code = run.go(options);

    record::RunSummary summary =
        bench::summary_of(run.plant(), files->scenario.start_ms, files->station.station.pump_count);
    summary.scenario = files->scenario.name;
    summary.station = files->station.station.name;
    summary.wall_s = std::chrono::duration<double>(Clock::now() - begun).count();
    print_figures(summary);
    if (const auto failure = record->close(summary)) {
        fmt::print(stderr, "freshet-plant: {}\n", *failure);
        return service::exit_failure;
    }
    return code;
}

}  // namespace

int main(int argc, char** argv) {
    try {
        // Programs read standard output. Text for people goes to standard error.
        spdlog::set_default_logger(spdlog::stderr_color_mt("freshet-plant"));
        const auto options = plant_process::read_options(argc, argv);
        if (const int* code = std::get_if<int>(&options)) return *code;
        return run(std::get<Options>(options));
    } catch (const std::exception& error) {
        fmt::print(stderr, "freshet-plant: {}\n", error.what());
        return service::exit_failure;
    }
}
