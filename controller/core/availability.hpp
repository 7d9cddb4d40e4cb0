// Which idle pumps are available, and how a lock-out is released. One reason to change: what makes an idle
// pump unavailable, or who may release what.
#pragma once

#include "controller/core/journal.hpp"
#include "controller/core/picture.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// Judges every idle pump.
///
/// People release a locked-out pump at its selector: at off, its failures and its latched alarms are
/// forgotten, and the pump is judged like any other (common practice: a pump is repaired with its selector at
/// off). People release a locked-out drive at the drive: the drive becomes not ready or tripped, and ready
/// again.
void judge_availability(SequencerState& sequencer, const Picture& picture, const Settings& settings,
                        Journal& journal) noexcept;

}  // namespace freshet::core
