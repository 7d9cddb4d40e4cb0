// One scan of the process: what was read goes in, advice is published and recorded.
// One reason to change: what happens around a scan.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>

#include "controller/core/controller.hpp"
#include "controller/process/alarm_orders.hpp"
#include "controller/process/run_counts.hpp"
#include "controller/record/run_record.hpp"
#include "hal/modbus/advice_encoder.hpp"
#include "hal/modbus/boards.hpp"
#include "hal/modbus/field_decoder.hpp"
#include "hal/modbus/field_reader.hpp"
#include "hal/modbus/read_server.hpp"
#include "hal/service/notice.hpp"
#include "hal/store/keeper.hpp"

namespace freshet::controller_process {

/// What a scan is told to or asked of besides the field and the advice server. Each may be null.
struct Beside {
    record::RunRecord* record = nullptr;
    store::Keeper* keeper = nullptr;
    AlarmOrders* orders = nullptr;
    service::Notice* notice = nullptr;
};

class Scanner {
  public:
    /// `kept`: what an earlier controller left, or null. Board, server and what stands beside outlive the
    /// scanner.
    Scanner(const core::Settings& settings, const core::Retained* kept, const modbus::FieldPlan& plan,
            const modbus::AdviceEncoder& encoder, modbus::AdviceBoard& board, modbus::ReadServer& server,
            Beside beside);

    /// Scans at station time `now_ms` with all that `snapshot` brought since the last scan; `offset_ms` leads
    /// from the snapshot's clock to station time.
    void scan(const modbus::FieldSnapshot& snapshot, std::int64_t offset_ms, std::int64_t now_ms);

    const core::Settings& settings() const { return controller_.settings(); }
    /// Figures of the run so far; `wall_s` and names are the caller's.
    record::RunSummary summary() const {
        return counts_.summary(controller_.advice(), controller_.settings().pump_count);
    }
    /// The first failure of the record, said once.
    std::optional<std::string> record_failure();
    /// What people must hear of the file that is kept, each once.
    std::optional<std::string> keeper_news() {
        return beside_.keeper ? beside_.keeper->news() : std::nullopt;
    }

  private:
    const core::Advice& decide(const core::Inputs& inputs);
    void record(const core::Inputs& inputs, const core::Advice& advice);

    core::Controller controller_;
    modbus::FieldDecoder decoder_;
    modbus::AdviceEncoder encoder_;
    modbus::AdviceBoard& board_;
    modbus::ReadServer& server_;
    Beside beside_;
    RunCounts counts_;
    const core::Advice* last_ = nullptr;
    std::uint64_t applied_batch_ = 0;
    bool failure_told_ = false;
};

}  // namespace freshet::controller_process
