// A journal explained: the answers to the question why.
// One reason to change: what an explanation must say.
#include "controller/report/explanation.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cstdint>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "controller/core/advice.hpp"
#include "controller/report/explanation_json.hpp"

namespace freshet::report {
namespace {

using core::EventKind;
using core::Reason;
using record::JournalEntry;

constexpr std::int64_t noon_ms = 1938081600000;  // 2031-06-01T12:00:00.000Z

/// A journal written one event after another, numbered as the controller numbers them.
class Journal {
  public:
    Journal& at(std::int64_t after_noon_ms) {
        time_ms_ = noon_ms + after_noon_ms;
        return *this;
    }
    template <class Detail>
    Journal& event(EventKind what, Detail detail, std::uint8_t pump, Reason why, std::uint32_t cause,
                   std::array<double, 4> values = {}) {
        JournalEntry entry;
        entry.time_ms = time_ms_;
        entry.event.number = static_cast<std::uint32_t>(entries.size() + 1);
        entry.event.cause_number = cause;
        entry.event.what = what;
        entry.event.detail = static_cast<std::uint8_t>(detail);
        entry.event.pump = pump;
        entry.event.why = why;
        entry.event.values = values;
        entries.push_back(entry);
        return *this;
    }
    std::vector<JournalEntry> entries;

  private:
    std::int64_t time_ms_ = noon_ms;
};

constexpr std::uint8_t pump_2 = 1;

/// Pump 2 is on the drive; the forecast needs more; its hand-over gets as far as matching the line.
Journal hand_over_of_pump_2() {
    Journal journal;
    journal.at(-60'000).event(EventKind::pump_state, core::PumpState::on_drive, pump_2, Reason::confirmed, 0,
                              {22'600});
    journal.at(0)
        .event(EventKind::sequence_begun, core::Sequence::hand_over, pump_2, Reason::forecast_short, 0,
               {1.6, 1.45, 40, 47})
        .event(EventKind::step_entered, core::Step::over_line_frequency, pump_2, Reason::forecast_short, 2,
               {1.6, 1.45, 40, 47})
        .event(EventKind::pump_state, core::PumpState::to_line, pump_2, Reason::forecast_short, 2,
               {1.6, 1.45, 40, 47});
    journal.at(8'000).event(EventKind::step_entered, core::Step::over_synchronise, pump_2, Reason::confirmed,
                            3, {8'000});
    return journal;
}

bool says(const std::string& text, const std::string& piece) {
    return text.find(piece) != std::string::npos;
}

TEST(Explanation, says_the_state_of_each_pump_and_for_how_long) {
    const std::string text = explanation(hand_over_of_pump_2().entries, 4, noon_ms + 10'000);
    EXPECT_TRUE(says(text, "As of 2031-06-01T12:00:10.000Z")) << text;
    EXPECT_TRUE(says(text, "Pump 2 had been in transfer to the line for 10.0 s.")) << text;
    EXPECT_TRUE(says(text, "No alarm was active.")) << text;
}

TEST(Explanation, counts_the_next_events_from_the_requested_instant) {
    const std::string text = explanation(hand_over_of_pump_2().entries, 0, noon_ms - 5'000);
    EXPECT_TRUE(says(text, "5.0 s later, no. 2, 2031-06-01T12:00:00.000Z")) << text;
}

TEST(Explanation, does_not_claim_that_the_run_lasted_beyond_the_last_event) {
    const auto journal = hand_over_of_pump_2().entries;
    const std::string after = explanation(journal, 4, noon_ms + 3'600'000);
    EXPECT_TRUE(says(after, "The journal does not say whether the run lasted until the requested time."))
        << after;
    EXPECT_FALSE(says(explanation(journal, 4, noon_ms + 8'000), "whether the run lasted"));
}

TEST(Explanation, waits_for_consistent_readings_before_the_first_service) {
    Journal journal;
    journal.at(0).event(EventKind::measured_quality, core::Quality::good, core::no_pump, Reason::data_good, 0,
                        {3.0, 0, 0});
    const std::string text = explanation(journal.entries, 0, noon_ms + 1'000);
    EXPECT_TRUE(
        says(text, "The controller waited for readings without contradictions. Nothing was advised yet."))
        << text;
}

/// Pump 2 starts on the drive past the start mark, as the pump with the fewest hours, and runs ten seconds
/// later.
Journal start_of_pump_2() {
    Journal journal;
    journal.at(0)
        .event(EventKind::sequence_begun, core::Sequence::start_on_drive, pump_2, Reason::value_past_start, 0,
               {2.6, 2.5})
        .event(EventKind::step_entered, core::Step::start_close_drive_side, pump_2, Reason::value_past_start,
               1, {2.6, 2.5})
        .event(EventKind::pump_state, core::PumpState::starting, pump_2, Reason::value_past_start, 2,
               {2.6, 2.5})
        .event(EventKind::pump_chosen, core::Sequence::start_on_drive, pump_2, Reason::fewest_hours, 1,
               {2950, 3000, 4, 3});
    journal.at(10'000).event(EventKind::step_entered, core::Step::start_run, pump_2, Reason::confirmed, 2,
                             {9'000});
    return journal;
}

TEST(Explanation, of_a_start_says_why_this_pump_was_chosen) {
    const auto journal = start_of_pump_2().entries;
    for (std::size_t index = 0; index < journal.size(); ++index) {
        const std::string text = explanation(journal, index, noon_ms + 11'000);
        EXPECT_TRUE(says(text,
                         "Why pump 2\n  fewest_hours (no. 4, 2031-06-01T12:00:00.000Z): the pump had the "
                         "fewest hours of 3 free pumps (2950.0 h; next: pump 4 with 3000.0 h).\n"))
            << index << text;
        EXPECT_TRUE(says(text, "  value_past_start (no. ")) << "the choice is not the decision: " << text;
        const auto json = nlohmann::json::parse(explanation_json(journal, index, noon_ms + 11'000));
        EXPECT_EQ(json["choice"]["rule"], "fewest_hours");
        EXPECT_EQ(json["choice"]["pump"], 2);
        EXPECT_EQ(json["choice"]["saw"]["next_run_h"], 3000);
    }
}

TEST(Explanation, of_a_hand_over_has_no_chosen_pump) {
    const auto journal = hand_over_of_pump_2().entries;
    EXPECT_FALSE(says(explanation(journal, 4, noon_ms + 10'000), "Why pump"));
    EXPECT_TRUE(nlohmann::json::parse(explanation_json(journal, 4, noon_ms + 10'000))["choice"].is_null());
}

TEST(Explanation, names_the_rule_of_an_earlier_decision_with_its_values) {
    const std::string text = explanation(hand_over_of_pump_2().entries, 4, noon_ms + 10'000);
    EXPECT_TRUE(says(text, "forecast_short (no. 3, 2031-06-01T12:00:00.000Z)")) << text;
    EXPECT_TRUE(says(text, "inflow_m3s 1.600 m3/s, pumped_m3s 1.450 m3/s, time_to_mark_s 40.0 s")) << text;
}

TEST(Explanation, says_what_the_controller_waited_for_and_what_a_time_out_would_do) {
    const std::string text = explanation(hand_over_of_pump_2().entries, 4, noon_ms + 10'000);
    EXPECT_TRUE(says(text,
                     "Sequence: hand-over to the line of pump 2. For 2.0 s the controller had been matching "
                     "the drive to the line."))
        << text;
    EXPECT_TRUE(
        says(text, "The controller waited until the drive reports in sync and the sync check has agreed"))
        << text;
    EXPECT_TRUE(says(
        text, "If the time ran out (synchronising limit): the sequence ends with the pump on the drive."))
        << text;
}

TEST(Explanation, follows_the_cause_numbers_back_and_names_each_ground_of_a_scan_once) {
    const std::string text = explanation(hand_over_of_pump_2().entries, 4, noon_ms + 10'000);
    const std::size_t causes = text.find("The causes before that");
    const std::size_t waiting = text.find("What the controller waited for");
    const std::string named = text.substr(causes, waiting - causes);
    EXPECT_TRUE(says(named, "no. 2, 2031-06-01T12:00:00.000Z: Pump 2: hand-over to the line begun")) << named;
    EXPECT_FALSE(says(named, "no. 3,")) << named;
}

TEST(Explanation, shows_an_alarm_from_its_rise_to_its_return) {
    Journal journal;
    journal.event(EventKind::alarm_raised, core::StationAlarm::value_high, core::no_pump, Reason::value_high,
                  0, {5.1, 5});
    journal.at(5'000).event(EventKind::alarm_returned, core::StationAlarm::value_high, core::no_pump,
                            Reason::returned_normal, 1);
    EXPECT_TRUE(says(explanation(journal.entries, 0, noon_ms + 3'000),
                     "Alarm of the station, active for 3.0 s: measured value past its high mark."));
    EXPECT_TRUE(says(explanation(journal.entries, 1, noon_ms + 6'000), "No alarm was active."));
}

TEST(Explanation, is_given_as_json_with_the_same_facts) {
    const auto answer =
        nlohmann::json::parse(explanation_json(hand_over_of_pump_2().entries, 4, noon_ms + 10'000));
    EXPECT_EQ(answer["at"], "2031-06-01T12:00:10.000Z");
    EXPECT_EQ(answer["standing"]["pumps"][0]["pump"], 2);
    EXPECT_EQ(answer["standing"]["pumps"][0]["state"], "to_line");
    EXPECT_EQ(answer["last"]["number"], 5);
    EXPECT_EQ(answer["decision"]["rule"], "forecast_short");
    EXPECT_EQ(answer["decision"]["saw"]["inflow_m3s"], 1.6);
    EXPECT_EQ(answer["causes"].size(), 2U);
    EXPECT_EQ(answer["waiting_for"][0]["step"], "over_synchronise");
    EXPECT_EQ(answer["waiting_for"][0]["until"], "in_sync");
    EXPECT_EQ(answer["waiting_for"][0]["for_s"], 2.0);
    EXPECT_TRUE(answer["next"].empty());
}

TEST(Explanation, names_a_quality_with_its_cause) {
    Journal journal;
    journal.event(EventKind::measured_quality, core::Quality::bad, core::no_pump, Reason::data_bad, 0,
                  {3.1, 4'000, static_cast<double>(core::Cause::stale)});
    EXPECT_TRUE(
        says(explanation(journal.entries, 0, noon_ms), "The measured value was bad (reading too old)."));
    const auto answer = nlohmann::json::parse(explanation_json(journal.entries, 0, noon_ms));
    EXPECT_EQ(answer["standing"]["quality_cause"], "stale");
}

TEST(Explanation, shows_a_stop_from_the_line_apart_from_the_main_sequence) {
    Journal journal = hand_over_of_pump_2();
    journal.at(9'000)
        .event(EventKind::sequence_begun, core::Sequence::stop_from_line, 0, Reason::pump_tripped, 0)
        .event(EventKind::step_entered, core::Step::line_stop_open, 0, Reason::pump_tripped, 6);
    const std::string during = explanation(journal.entries, 6, noon_ms + 9'500);
    EXPECT_TRUE(says(during, "Stop from the line of pump 1: the controller had waited for 500 ms")) << during;
    EXPECT_TRUE(says(during, "Sequence: hand-over to the line of pump 2")) << during;
    journal.at(9'600).event(EventKind::sequence_done, core::Sequence::stop_from_line, 0, Reason::confirmed, 7,
                            {600});
    const std::string after = explanation(journal.entries, 7, noon_ms + 10'000);
    EXPECT_FALSE(says(after, "Stop from the line of pump 1")) << after;
    EXPECT_TRUE(says(after, "Sequence: hand-over to the line of pump 2")) << after;
}

TEST(Explanation, shows_a_start_on_the_line_next_to_a_hand_over) {
    Journal journal = hand_over_of_pump_2();
    journal.at(9'000)
        .event(EventKind::sequence_begun, core::Sequence::line_start, 0, Reason::demand_at_top, 0)
        .event(EventKind::step_entered, core::Step::line_start_close, 0, Reason::demand_at_top, 6);
    const std::string during = explanation(journal.entries, 6, noon_ms + 9'500);
    EXPECT_TRUE(says(during, "Start on the line of pump 1: the controller had waited for 500 ms")) << during;
    EXPECT_TRUE(says(during, "Sequence: hand-over to the line of pump 2")) << during;
    const auto answer = nlohmann::json::parse(explanation_json(journal.entries, 6, noon_ms + 9'500));
    EXPECT_EQ(answer["waiting_for"][0]["step"], "line_start_close");
    journal.at(9'600).event(EventKind::sequence_done, core::Sequence::line_start, 0, Reason::confirmed, 7,
                            {600});
    const std::string after = explanation(journal.entries, 7, noon_ms + 10'000);
    EXPECT_FALSE(says(after, "Start on the line of pump 1")) << after;
}

TEST(Explanation, of_the_last_event_says_that_the_journal_ends) {
    EXPECT_TRUE(
        says(explanation(hand_over_of_pump_2().entries, 4, noon_ms + 10'000), "The journal ends here."));
}

TEST(Explanation, of_an_event_without_a_cause_says_that_no_event_led_to_it) {
    EXPECT_TRUE(
        says(explanation(hand_over_of_pump_2().entries, 1, noon_ms), "No earlier event led to this event."));
}

}  // namespace
}  // namespace freshet::report
