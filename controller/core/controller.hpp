// The scan: one pure step from what is seen to what is advised.
// One reason to change: the order in which the pieces of a scan are asked.
#pragma once

#include "controller/core/advice.hpp"
#include "controller/core/inputs.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// The supervisory controller of one station. Same inputs in the same order give the same advice, bit for
/// bit.
class Controller {
  public:
    /// `settings` must have passed the loader's checks; they are copied.
    explicit Controller(const Settings& settings) noexcept;

    /// One scan. Never allocates or throws; bounded work. The view is valid until the next scan.
    const Advice& scan(const Inputs& inputs) noexcept;

    const Settings& settings() const noexcept;
};

}  // namespace freshet::core
