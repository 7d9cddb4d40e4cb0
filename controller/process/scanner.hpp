// One scan of the process. The core scans the readings. The process publishes and records the advice.
// One reason to change: the work before and after a scan.
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
#include "hal/modbus/bench_people.hpp"
#include "hal/modbus/boards.hpp"
#include "hal/modbus/field_decoder.hpp"
#include "hal/modbus/field_reader.hpp"
#include "hal/modbus/read_server.hpp"
#include "hal/service/notice.hpp"
#include "hal/store/keeper.hpp"

namespace freshet::controller_process {

/// The parts that a scan serves in addition to the field and the advice server. Each may be null.
struct Companions {
    record::RunRecord* record = nullptr;
    store::Keeper* keeper = nullptr;
    AlarmOrders* orders = nullptr;
    service::Notice* notice = nullptr;
};

class Scanner {
  public:
    /// `kept` is the data that an earlier controller left, or null. Board, server and companions must outlive
    /// the scanner.
    Scanner(const core::Settings& settings, const core::Retained* kept, const modbus::FieldPlan& plan,
            const modbus::AdviceEncoder& encoder, modbus::AdviceBoard& board, modbus::ReadServer& server,
            Companions companions);

    /// Scans at station time `now_ms` with all readings of `snapshot` since the last scan. Station time is
    /// the snapshot's time plus `offset_ms`.
    void scan(const modbus::FieldSnapshot& snapshot, std::int64_t offset_ms, std::int64_t now_ms);

    const core::Settings& settings() const { return controller_.settings(); }
    /// Returns the figures of the run so far. The caller fills `wall_s` and names.
    record::RunSummary summary() const {
        return counts_.summary(controller_.advice(), controller_.settings().pump_count);
    }
    /// Returns the first failure of the record. Only the first call after the failure returns the failure.
    std::optional<std::string> record_failure();
    /// Returns each new message about the kept file once.
    std::optional<std::string> keeper_news() {
        return companions_.keeper ? companions_.keeper->news() : std::nullopt;
    }

  private:
    const core::Advice& decide(const core::Inputs& read, const modbus::FieldSnapshot& snapshot);
    void record(const core::Inputs& inputs, const core::Advice& advice);

    core::Controller controller_;
    modbus::FieldDecoder decoder_;
    modbus::BenchPeople bench_people_;
    modbus::AdviceEncoder encoder_;
    modbus::AdviceBoard& board_;
    modbus::ReadServer& server_;
    Companions companions_;
    RunCounts counts_;
    const core::Advice* last_ = nullptr;
    std::uint64_t applied_batch_ = 0;
    bool failure_reported_ = false;
};

}  // namespace freshet::controller_process
