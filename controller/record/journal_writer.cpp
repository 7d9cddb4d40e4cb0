// Writes a scan's events as lines into one batch and appends the batch at once.
#include "controller/record/journal_writer.hpp"

#include <algorithm>
#include <string_view>

#include "controller/words/instant.hpp"
#include "controller/words/reasons.hpp"
#include "controller/words/sentences.hpp"
#include "controller/words/sequences.hpp"

namespace freshet::record {
namespace {

// Every word of the tables is snake_case, so no string of a line needs escaping. A test checks the tables for
// this.
void append_quoted(std::string& out, std::string_view word) {
    out += '"';
    out += word;
    out += '"';
}

void append_values(std::string& out, const core::Event& event) {
    const words::ReasonWord& reason = words::word(event.why);
    out += '{';
    for (std::size_t i = 0; i < reason.values.size() && !reason.values[i].name.empty(); ++i) {
        if (i != 0) out += ',';
        append_quoted(out, reason.values[i].name);
        out += ':';
        const std::string_view coded = words::value_name(event.values[i], reason.values[i].unit);
        if (coded.empty()) {
            words::append_number(out, event.values[i]);
        } else {
            append_quoted(out, coded);
        }
    }
    out += '}';
}

void append_count_or_null(std::string& out, std::uint32_t count) {
    if (count == 0) {
        out += "null";
    } else {
        out += std::to_string(count);
    }
}

}  // namespace

void append_journal_line(std::string& out, std::int64_t time_ms, const core::Event& event) {
    out += "{\"seq\":";
    out += std::to_string(event.number);
    out += ",\"time\":\"";
    words::append_instant(out, time_ms);
    out += "\",\"what\":";
    append_quoted(out, words::word(event.what).name);
    out += ",\"detail\":";
    append_quoted(out, words::detail_name(event));
    out += ",\"pump\":";
    append_count_or_null(out, event.pump == core::no_pump ? 0U : event.pump + 1U);
    out += ",\"why\":";
    append_quoted(out, words::word(event.why).name);
    out += ",\"values\":";
    append_values(out, event);
    out += ",\"cause\":";
    append_count_or_null(out, event.cause_number);
    out += '}';
}

tl::expected<JournalWriter, store::StoreError> JournalWriter::create(const std::filesystem::path& path) {
    return store::AppendedFile::create(path).map(
        [](store::AppendedFile&& file) { return JournalWriter(std::move(file)); });
}

void JournalWriter::append_events(const core::Advice& advice) noexcept {
    batch_.clear();
    const std::size_t count = std::min<std::size_t>(advice.event_count, advice.events.size());
    for (std::size_t i = 0; i < count; ++i) {
        append_journal_line(batch_, advice.time_ms, advice.events[i]);
        batch_ += '\n';
    }
    file_.append(batch_);
}

}  // namespace freshet::record
