// Prints invented readings of a store and the estimate of the inflow after each reading, for the side-by-side
// check: time, volume, outflow, inflow, doubt.
// One reason to change: the case that the check compares.
#include <cstdio>
#include <random>

#include "controller/core/inflow_estimate.hpp"

int main() {
    using freshet::core::InflowEstimate;
    constexpr double noise_m3 = 0.4, inflow_m3s = 1.3, step_s = 0.5, longest = 324;
    constexpr int readings = 324;
    std::mt19937 random(20310514);
    std::normal_distribution<double> noise(0, noise_m3);
    std::uniform_real_distribution<double> outflow(0, 2);
    double volume_m3 = 400;
    InflowEstimate estimate;
    std::puts("t_s,volume_m3,outflow_m3s,inflow_m3s,doubt_m3s");
    for (int i = 0; i < readings; ++i) {
        const double outflow_m3s = i == 0 ? 0 : outflow(random);
        if (i > 0) volume_m3 += step_s * (inflow_m3s - outflow_m3s);
        const double read_m3 = volume_m3 + noise(random);
        if (i == 0)
            estimate.start_at(read_m3, 0);
        else
            estimate.step({read_m3, outflow_m3s, noise_m3, step_s}, longest);
        std::printf("%.17g,%.17g,%.17g,%.17g,%.17g\n", step_s * i, read_m3, outflow_m3s,
                    estimate.inflow_m3s(), estimate.doubt_m3s());
    }
    return 0;
}
