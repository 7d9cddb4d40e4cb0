// The number of runs of a test of the campaign: few under a sanitizer, otherwise the number in the
// environment.
// One reason to change: the time that the tests may take.
#pragma once

#include <cstdint>
#include <cstdlib>

namespace freshet::campaign {

#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
inline constexpr bool sanitized = true;
#else
inline constexpr bool sanitized = false;
#endif

inline std::uint64_t from_environment(const char* name, std::uint64_t otherwise) {
    const char* const text = std::getenv(name);
    return text == nullptr ? otherwise : std::strtoull(text, nullptr, 10);
}
/// FRESHET_STORMS: the number of storms. FRESHET_STORM_SEED: the first seed.
inline std::uint64_t storm_count() {
    return from_environment("FRESHET_STORMS", sanitized ? 12 : 300);
}
inline std::uint64_t first_seed() {
    return from_environment("FRESHET_STORM_SEED", 1);
}
inline std::uint64_t steady_inflows() {
    return sanitized ? 8 : 200;
}
inline std::uint64_t noise_seeds() {
    return sanitized ? 2 : 12;
}

}  // namespace freshet::campaign
