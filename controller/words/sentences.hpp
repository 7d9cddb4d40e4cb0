// Sentences from codes and values: what happened, and why, in plain English and independent of any locale.
// One reason to change: how an event is worded.
#pragma once

#include <string>

#include "controller/core/reasons.hpp"
#include "controller/words/reasons.hpp"

namespace freshet::words {

/// The name of an event's `detail`, as the journal writes it: a sequence, step, state, alarm ...
std::string_view detail_name(const core::Event& event);

/// A value with its unit, rounded for people: "3.42 m", "58.20 Hz", "4.2 s"; NaN: "not known".
std::string value_text(double value, Unit unit);

/// The word of a coded value (contact, permissive, cause of a quality); empty for a number.
std::string_view value_name(double value, Unit unit);

/// The reason as a clause after "because", values filled in; empty for Reason::none.
std::string because(const core::Event& event);

/// The event without its reason: "Pump 2: hand-over to the line begun".
std::string happened(const core::Event& event);

/// Both: "Pump 2: hand-over to the line begun, because ..." with a full stop.
std::string sentence(const core::Event& event);

/// A number in the shortest form that reads back exactly; "null" when it is not finite.
void append_number(std::string& out, double value);

}  // namespace freshet::words
