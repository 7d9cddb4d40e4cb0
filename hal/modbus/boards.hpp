// The registers that the two servers show: the advice of the controller, and the measurements of the
// simulated station. A publisher on one thread replaces the whole image; the server's thread reads from the
// image. One reason to change: which reads are answered, and with which registers.
#pragma once

#include <cstdint>
#include <mutex>
#include <span>
#include <vector>

#include "hal/modbus/advice_map.hpp"
#include "hal/modbus/bench_registers.hpp"
#include "hal/modbus/field_plan.hpp"
#include "hal/modbus/mbap_parser.hpp"

namespace freshet::modbus {

/// The advice map as input registers. The same registers are also holding registers, for readers that know
/// only holding registers. Any unit id.
class AdviceBoard {
  public:
    /// `initial` is shown before the first publication: an encoder's first image, in which no register reads
    /// as a value.
    explicit AdviceBoard(const AdviceImage& initial) : image_(initial) {}
    void publish(const AdviceImage& image);
    Exception read(const Request& request, std::span<std::uint16_t> out) const;
    /// Counts publications; only a read of the advice block may wait for the next.
    std::uint64_t version(const Request& request) const;

  private:
    mutable std::mutex mutex_;
    AdviceImage image_;
    std::uint64_t version_ = 1;
};

/// The station's measurements by its field map, and the bench's own registers. A read of any other address is
/// refused.
class FieldBoard {
  public:
    explicit FieldBoard(const FieldPlan& plan);
    /// The image shows the station at `instant.shown_ms`.
    void publish(std::span<const std::uint16_t> image, const BenchInstant& instant = {});
    Exception read(const Request& request, std::span<std::uint16_t> out) const;
    /// Whether the request reads the bench's own registers.
    bool bench_only(const Request& request) const { return asks_bench_registers(request, bench_unit_); }
    /// Counts publications; only a read that holds the plant's clock may wait for the next.
    std::uint64_t version(const Request& request) const;

  private:
    std::vector<Block> blocks_;
    std::optional<PlannedEntry> clock_;
    std::uint8_t bench_unit_;
    BenchRegisters bench_registers_;
    mutable std::mutex mutex_;
    std::vector<std::uint16_t> image_;
    std::uint64_t version_ = 1;
};

}  // namespace freshet::modbus
