// Which cases a run of the campaign judges, from the environment:
//   FRESHET_STAGING_CASES    how many cases of each suite
//   FRESHET_STAGING_SEED     the first seed
//   FRESHET_STAGING_JUDGING  any value: judge 2,000 cases of seeds that nobody has used for tuning
//   FRESHET_STAGING_JOBS     how many cases at once; without this variable one
//   FRESHET_STAGING_TRACE    any value: print every case scan by scan
// Tuning has the seeds 1 to 20,000, judging the seeds from 100,001. A run with seeds of the other purpose fails.
// A person who looks at a judging case in order to change the controller judges from a later seed afterwards.
// One reason to change: how people choose cases.
#pragma once

#include <algorithm>
#include <atomic>
#include <cstdint>
#include <cstdlib>
#include <stdexcept>
#include <thread>
#include <vector>

#include "tests/property/campaign/how_many.hpp"

namespace freshet::staging_campaign {

struct Selection {
    std::uint64_t first_seed, cases, jobs;
    bool trace;
    bool usual;  ///< the cases of the table of allowed counts, or the first of these cases
};

inline constexpr std::uint64_t last_tuning_seed = 20'000, first_judging_seed = 100'001;

/// Throws std::invalid_argument when the seeds do not belong to the purpose.
inline void keep_apart(bool judging, std::uint64_t first_seed, std::uint64_t cases) {
    if (judging ? first_seed < first_judging_seed : first_seed + cases - 1 > last_tuning_seed)
        throw std::invalid_argument(judging ? "judging has the seeds from 100,001"
                                            : "tuning has the seeds 1 to 20,000");
}

/// `usual_cases`: the number of cases that every build judges. A sanitizer has time for an eighth of them.
inline Selection selection(std::uint64_t usual_cases) {
    using campaign::from_environment;
    constexpr std::uint64_t sanitizer_part = 8, judging_cases = 2000;
    const bool judging = std::getenv("FRESHET_STAGING_JUDGING") != nullptr;
    const std::uint64_t otherwise = judging ? judging_cases
                                    : campaign::sanitized
                                        ? std::max<std::uint64_t>(1, usual_cases / sanitizer_part)
                                        : usual_cases;
    const std::uint64_t cases = from_environment("FRESHET_STAGING_CASES", otherwise);
    const std::uint64_t seed = from_environment("FRESHET_STAGING_SEED", judging ? first_judging_seed : 1);
    keep_apart(judging, seed, cases);
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
