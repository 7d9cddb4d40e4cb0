// The known word that a misspelt word most likely means.
// One reason to change: how alike two words must be.
#pragma once

#include <span>
#include <string_view>

namespace freshet::config {

/// The candidate with the smallest edit distance (insert, delete, replace, swap of neighbours), or empty when
/// the best candidate needs more changes than half the word's letters.
std::string_view nearest(std::string_view word, std::span<const std::string_view> candidates);

}  // namespace freshet::config
