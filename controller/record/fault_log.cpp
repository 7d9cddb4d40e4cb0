// Writes each line at once. After a failure to create the file there is no second attempt.
#include "controller/record/fault_log.hpp"

#include <nlohmann/json.hpp>
#include <utility>

#include "controller/words/instant.hpp"

namespace freshet::record {
namespace {

using Json = nlohmann::ordered_json;

Json text_or_null(std::string_view text) {
    return text.empty() ? Json(nullptr) : Json(text);
}

}  // namespace

std::string fault_line(std::uint32_t number, const FaultNews& news) {
    const Json line{{"seq", number},
                    {"time", words::instant(news.time_ms)},
                    {"by", news.by},
                    {"what", news.what},
                    {"device", text_or_null(news.device)},
                    {"kind", text_or_null(news.kind)},
                    {"amount", news.amount ? Json(*news.amount) : Json(nullptr)},
                    {"order", text_or_null(news.order)},
                    {"answer", text_or_null(news.answer)}};
    // An instructor may type bytes that are not UTF-8. Such bytes must not end the run.
    return line.dump(-1, ' ', false, Json::error_handler_t::replace);
}

void FaultLog::append(const FaultNews& news) {
    if (failure_) return;
    if (!file_) {
        auto made = store::AppendedFile::create(path_);
        if (!made) {
            failure_ = std::move(made.error());
            return;
        }
        file_.emplace(std::move(*made));
    }
    file_->append(fault_line(++written_, news) + '\n');
}

}  // namespace freshet::record
