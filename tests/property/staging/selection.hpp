// Which cases a run of the campaign judges, from the environment:
//   FRESHET_STAGING_CASES  how many cases of each suite
//   FRESHET_STAGING_SEED   the first seed. Seeds 1 to 100,000 are for tuning, seeds from 1,000,001 for
//   judging.
//   FRESHET_STAGING_JOBS   how many cases at once; without this variable one
//   FRESHET_STAGING_TRACE  any value: print every case scan by scan
// One reason to change: how people choose cases.
#pragma once

#include <algorithm>
#include <atomic>
#include <cstdint>
#include <cstdlib>
#include <thread>
#include <vector>

#include "tests/property/campaign/how_many.hpp"

namespace freshet::staging_campaign {

struct Selection {
    std::uint64_t first_seed, cases, jobs;
    bool trace;
    bool usual;  ///< the cases of the table of allowed counts, or the first of these cases
};

/// `usual_cases`: the number of cases that every build judges. A sanitizer has time for an eighth of them.
inline Selection selection(std::uint64_t usual_cases) {
    using campaign::from_environment;
    constexpr std::uint64_t sanitizer_part = 8;
    const std::uint64_t cases = from_environment(
        "FRESHET_STAGING_CASES",
        campaign::sanitized ? std::max<std::uint64_t>(1, usual_cases / sanitizer_part) : usual_cases);
    const std::uint64_t seed = from_environment("FRESHET_STAGING_SEED", 1);
    return {seed, cases, std::max<std::uint64_t>(1, from_environment("FRESHET_STAGING_JOBS", 1)),
            std::getenv("FRESHET_STAGING_TRACE") != nullptr, seed == 1 && cases <= usual_cases};
}

/// `judge(seed)` for each selected seed, several at once. The results are in the order of the seeds.
template <class Result, class Judge>
std::vector<Result> judged(const Selection& chosen, const Judge& judge) {
    std::vector<Result> results(chosen.cases);
    std::atomic<std::uint64_t> next = 0;
    const auto work = [&] {
        for (std::uint64_t i = next++; i < chosen.cases; i = next++)
            results[i] = judge(chosen.first_seed + i);
    };
    std::vector<std::jthread> others;
    for (std::uint64_t job = 1; job < chosen.jobs; ++job) others.emplace_back(work);
    work();
    others.clear();
    return results;
}

}  // namespace freshet::staging_campaign
