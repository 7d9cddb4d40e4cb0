// Which idle pumps are available, and how a lock-out is released.
// One reason to change: what makes an idle pump unavailable, or who may release a lock-out.
#pragma once

#include "controller/core/journal.hpp"
#include "controller/core/picture.hpp"
#include "controller/core/sequencer.hpp"
#include "controller/core/settings.hpp"

namespace freshet::core {

/// Judges every idle pump as off, unavailable or locked out.
///
/// A contactor that is read open soon after the time limit of its stop releases its pump by itself, see
/// count_opening in attempts.cpp.
///
/// People release a locked-out pump at its selector. At off, the controller clears the pump's failures and
/// latched alarms and judges the pump like any other (common practice: people repair a pump with its selector
/// at off). People release a locked-out drive at the drive. When the drive is read as not ready, the
/// controller clears the drive's failures and the latched alarms of the station. Both also release transfers that
/// failed attempts_max times in a row: the drive, and the pump that has the alarm of the failed transfer.
void judge_availability(SequencerState& sequencer, const Picture& picture, const Settings& settings,
                        Journal& journal) noexcept;

}  // namespace freshet::core
