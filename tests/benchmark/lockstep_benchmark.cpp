// An hour of the design storm in lockstep, by two processes over Modbus TCP on loopback. For comparison, the
// same hour in one process. The figures are printed and never judged. One reason to change: how the two
// processes are started.
#include <arpa/inet.h>
#include <benchmark/benchmark.h>
#include <fcntl.h>
#include <netinet/in.h>
#include <spawn.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdlib>
#include <string>
#include <vector>

#include "sim_plant/bench/bench.hpp"
#include "sim_plant/bench/case_files.hpp"

namespace {

using namespace freshet;

constexpr double hour_s = 3600;
const std::string source = FRESHET_SOURCE_DIR;

/// A loopback port that is free at the moment. The plant needs the controller's port before either program
/// listens.
int free_port() {
    const int probe = ::socket(AF_INET, SOCK_STREAM, 0);
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    socklen_t length = sizeof address;
    if (::bind(probe, reinterpret_cast<const sockaddr*>(&address), length) != 0 ||
        ::getsockname(probe, reinterpret_cast<sockaddr*>(&address), &length) != 0) {
        std::abort();
    }
    ::close(probe);
    return ntohs(address.sin_port);
}

struct Process {
    pid_t id = 0;
    int said = -1;  ///< standard output of the process

    /// Waits for the line in which both programs report that they listen.
    void wait_until_listening() const {
        char one = 0;
        while (::read(said, &one, 1) == 1 && one != '\n') continue;
    }
    /// True when the process ended with exit code 0.
    bool ended_well() {
        int status = 0;
        ::waitpid(id, &status, 0);
        ::close(said);
        return WIFEXITED(status) && WEXITSTATUS(status) == 0;
    }
};

Process start(std::vector<std::string> words) {
    std::vector<char*> arguments;
    for (std::string& word : words) arguments.push_back(word.data());
    arguments.push_back(nullptr);
    int ends[2];
    if (::pipe2(ends, O_CLOEXEC) != 0) std::abort();
    posix_spawn_file_actions_t actions;
    ::posix_spawn_file_actions_init(&actions);
    ::posix_spawn_file_actions_adddup2(&actions, ends[1], STDOUT_FILENO);
    ::posix_spawn_file_actions_addopen(&actions, STDERR_FILENO, "/dev/null", O_WRONLY, 0);
    Process process{0, ends[0]};
    if (::posix_spawn(&process.id, arguments[0], &actions, nullptr, arguments.data(), environ) != 0)
        std::abort();
    ::posix_spawn_file_actions_destroy(&actions);
    ::close(ends[1]);
    return process;
}

void two_processes_in_lockstep(benchmark::State& state) {
    const std::string field_map = source + "/config/field_maps/demo.toml";
    double simulated_s = 0;
    for (auto _ : state) {
        const std::string plant_at = "127.0.0.1:" + std::to_string(free_port());
        const std::string advice_at = "127.0.0.1:" + std::to_string(free_port());
        Process plant =
            start({FRESHET_PLANT_PROGRAM, "--scenario", source + "/config/scenarios/design_storm.toml",
                   "--lockstep", "--speed", "max", "--duration-s", std::to_string(hour_s), "--advice",
                   advice_at, "--listen", plant_at, "--quiet"});
        plant.wait_until_listening();
        Process controller =
            start({FRESHET_CONTROLLER_PROGRAM, "--station", source + "/config/stations/demo.toml",
                   "--field-map", field_map, "--plant", plant_at, "--listen", advice_at, "--lockstep"});
        const bool both = plant.ended_well() & controller.ended_well();
        if (!both) return state.SkipWithError("a process did not end well");
        simulated_s += hour_s;
    }
    state.counters["real_time"] = benchmark::Counter(simulated_s, benchmark::Counter::kIsRate);
}
BENCHMARK(two_processes_in_lockstep)->Unit(benchmark::kMillisecond)->UseRealTime();

void one_process(benchmark::State& state) {
    auto files = bench::load_case(source + "/config/scenarios/design_storm.toml");
    if (!files) std::abort();
    files->scenario.duration_s = hour_s;
    double simulated_s = 0;
    for (auto _ : state)
        simulated_s +=
            bench::run(files->station.station, files->station.settings, files->scenario, files->plan, {})
                .simulated_s;
    state.counters["real_time"] = benchmark::Counter(simulated_s, benchmark::Counter::kIsRate);
}
BENCHMARK(one_process)->Unit(benchmark::kMillisecond)->UseRealTime();

}  // namespace

BENCHMARK_MAIN();
