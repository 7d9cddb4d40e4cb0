// Distance between words; see the header.
#include "config/loader/nearest.hpp"

#include <algorithm>
#include <cstddef>
#include <vector>

namespace freshet::config {
namespace {

/// Optimal string alignment distance: Levenshtein's, with a swap of two neighbours as one change.
std::size_t edit_distance(std::string_view a, std::string_view b) {
    std::vector<std::vector<std::size_t>> cost(a.size() + 1, std::vector<std::size_t>(b.size() + 1));
    for (std::size_t i = 0; i <= a.size(); ++i) cost[i][0] = i;
    for (std::size_t j = 0; j <= b.size(); ++j) cost[0][j] = j;
    for (std::size_t i = 1; i <= a.size(); ++i)
        for (std::size_t j = 1; j <= b.size(); ++j) {
            const std::size_t replace = a[i - 1] == b[j - 1] ? 0 : 1;
            cost[i][j] = std::min({cost[i - 1][j] + 1, cost[i][j - 1] + 1, cost[i - 1][j - 1] + replace});
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                cost[i][j] = std::min(cost[i][j], cost[i - 2][j - 2] + 1);
        }
    return cost[a.size()][b.size()];
}

constexpr std::size_t word_length_max = 64;  // no misspelling of our words is longer

}  // namespace

std::string_view nearest(std::string_view word, std::span<const std::string_view> candidates) {
    if (word.size() > word_length_max) return {};
    std::string_view best;
    std::size_t best_distance = std::max<std::size_t>(1, word.size() / 2) + 1;
    for (const std::string_view candidate : candidates) {
        const std::size_t distance = edit_distance(word, candidate);
        if (distance < best_distance) {
            best = candidate;
            best_distance = distance;
        }
    }
    return best;
}

}  // namespace freshet::config
