// Reads a site's registers by its plan, batch by batch. Keeps the last image and the state of each block.
// One reason to change: when a block is read.
#pragma once

#include <chrono>
#include <condition_variable>
#include <cstdint>
#include <functional>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "config/scenario.hpp"
#include "hal/modbus/field_decoder.hpp"
#include "hal/modbus/field_plan.hpp"
#include "hal/modbus/poll_schedule.hpp"
#include "hal/modbus/read_client.hpp"

namespace freshet::modbus {

struct BlockState {
    std::uint64_t batch = 0;  ///< number of the last batch that read the block or failed; 0: never
    core::Cause cause = core::Cause::never_read;  ///< none: read
    std::int64_t read_ms = core::never_ms;  ///< of the last good reading, on the clock that dated the batch
};

/// The last image and its state.
struct FieldSnapshot {
    std::uint64_t batch = 0;       ///< counts batches, good or not
    std::uint32_t connection = 0;  ///< counts connections
    bool link_up = false;
    bool clock_stopped = false;  ///< the plant reports the end of its run
    std::optional<std::int64_t>
        plant_time_ms;  ///< of the last good batch, where the map has the plant's clock
    std::optional<config::PeopleCounts> people;  ///< of a bench, as far as the link has read them
    std::vector<BlockState> blocks;
    std::vector<std::uint16_t> image;
    std::string trouble;  ///< why the link is down
};

/// Updates a decoder with every block that was read or failed after batch `since`. `offset_ms` converts the
/// clock of the batch to station time.
void apply(const FieldSnapshot& snapshot, std::uint64_t since, std::int64_t offset_ms, FieldDecoder& decoder);

/// One link, used from one thread.
class FieldLink {
  public:
    FieldLink(FieldPlan plan, const Endpoint& endpoint, const ClientOptions& options);

    /// One batch. With the plant's clock in the map, the link reads the clock's block first, and this clock
    /// dates the batch. There is no new data while this clock does not move. Otherwise `now_ms` dates the
    /// batch and decides which groups are due. Returns whether there is new data.
    bool poll(std::int64_t now_ms);
    /// One instant of a simulated station in lockstep. The station's clock, from the bench's own registers,
    /// decides which groups are due. The instant that the site registers show dates the batch. The site
    /// registers may fail while the clock moves. Then the link tries them again at the next instant, at any
    /// wall time. Returns whether there is a new instant, in `plant_time_ms`, or the end of the run.
    bool poll_in_lockstep();
    bool connected() const { return client_.connected(); }
    const FieldSnapshot& snapshot() const { return snapshot_; }
    const FieldPlan& plan() const { return plan_; }
    std::int64_t next_due_ms() const { return schedule_.next_due_ms(); }
    std::chrono::steady_clock::time_point next_try() const { return client_.next_try(); }
    void interrupt() { client_.interrupt(); }

  private:
    bool connect();
    bool poll_by_plant_clock();
    bool read_people(std::int64_t now_ms);
    void read_due(std::int64_t now_ms, bool clock_is_read);
    ReadOutcome read_block(std::size_t index, std::int64_t now_ms, bool counts);
    void lose_link(core::Cause cause);

    FieldPlan plan_;
    PollSchedule schedule_;
    ReadClient client_;
    FieldSnapshot snapshot_;
    std::optional<PlannedEntry> clock_;
    std::uint8_t bench_unit_;
    std::int64_t people_read_ms_ = core::never_ms;  ///< without lockstep; on the plant's clock
    std::uint32_t refused_connection_ = 0;          ///< whose peer has no registers of a bench
};

/// A link on a thread of its own; the scan takes the last snapshot and never waits for the wire.
class FieldReader {
  public:
    /// `station_now` dates the batches of a site without the plant's clock; called on the reader's thread.
    FieldReader(FieldPlan plan, const Endpoint& endpoint, const ClientOptions& options,
                std::function<std::int64_t()> station_now);
    ~FieldReader();
    FieldReader(const FieldReader&) = delete;
    FieldReader& operator=(const FieldReader&) = delete;

    /// Copies the snapshot into `out` if it is newer than `out.batch`; waits at most `limit` for it.
    bool take_newer(FieldSnapshot& out, std::chrono::milliseconds limit);

  private:
    void run();
    void pause_until(std::chrono::steady_clock::time_point when);

    FieldLink link_;
    std::function<std::int64_t()> station_now_;
    std::mutex mutex_;
    std::condition_variable news_, wake_;
    FieldSnapshot shared_;
    bool stopping_ = false;
    std::thread thread_;
};

}  // namespace freshet::modbus
