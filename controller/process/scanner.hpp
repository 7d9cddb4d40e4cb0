// One scan of the process: what was read goes in, advice is published and recorded.
// One reason to change: what happens around a scan.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>

#include "controller/core/controller.hpp"
#include "controller/process/run_counts.hpp"
#include "hal/modbus/boards.hpp"
#include "hal/modbus/field_reader.hpp"
#include "hal/modbus/read_server.hpp"
#include "hal/store/run_record.hpp"

namespace freshet::controller_process {

class Scanner {
  public:
    /// `record` may be null. Board and server outlive the scanner.
    Scanner(const core::Settings& settings, const modbus::FieldPlan& plan,
            const modbus::AdviceEncoder& encoder, modbus::AdviceBoard& board, modbus::ReadServer& server,
            store::RunRecord* record);

    /// Scans at station time `now_ms` with all that `snapshot` brought since the last scan; `offset_ms` leads
    /// from the snapshot's clock to station time.
    void scan(const modbus::FieldSnapshot& snapshot, std::int64_t offset_ms, std::int64_t now_ms);

    const core::Settings& settings() const { return controller_.settings(); }
    const RunCounts& counts() const { return counts_; }
    /// The first failure of the record, said once.
    std::optional<std::string> record_failure();

  private:
    std::int64_t measured_read_ms(const core::Inputs& inputs) const;

    core::Controller controller_;
    modbus::FieldDecoder decoder_;
    modbus::AdviceEncoder encoder_;
    modbus::AdviceBoard& board_;
    modbus::ReadServer& server_;
    store::RunRecord* record_;
    RunCounts counts_;
    std::uint64_t applied_batch_ = 0;
    bool failure_told_ = false;
};

}  // namespace freshet::controller_process
