// The reading side with peers that behave and peers that do not: never a wait without limit, never an
// invented value. One reason to change: how a link is read or closed.
#include "hal/modbus/field_reader.hpp"

#include <arpa/inet.h>
#include <fcntl.h>
#include <modbus.h>
#include <netinet/in.h>
#include <poll.h>
#include <stdlib.h>
#include <sys/socket.h>
#include <unistd.h>

#include <array>
#include <atomic>
#include <functional>
#include <thread>

#include <gtest/gtest.h>

#include "hal/modbus/boards.hpp"
#include "hal/modbus/field_encoder.hpp"
#include "hal/modbus/read_server.hpp"
#include "tests/unit/modbus/site.hpp"

namespace freshet::modbus {
namespace {

using config::FieldEntry;
using config::FieldMap;
using config::index_of;
using config::StationSignal;
using config::Table;
using config::WordType;
using core::Cause;
using core::Quality;
using Clock = std::chrono::steady_clock;
using Bytes = std::vector<std::uint8_t>;
using std::chrono::milliseconds;

constexpr milliseconds response{60};
constexpr ClientOptions quick{
    .response = response, .back_off_first = milliseconds(1), .back_off_max = milliseconds(4)};

FieldPlan site_plan() {
    FieldMap map;
    map.groups = {{"scan", 100}};
    map.entries = {entry(StationSignal::line_voltage, Table::input_registers, 4, WordType::u16),
                   entry(StationSignal::high_float, Table::discrete_inputs, 30, WordType::bit)};
    return compile(map).value();
}

FieldPlan bench_plan() {
    FieldMap map;
    map.groups = {{"scan", 100}, {"slow", 1000}};
    map.entries = {entry(StationSignal::plant_time, Table::input_registers, 0, WordType::u64),
                   entry(StationSignal::line_voltage, Table::input_registers, 4, WordType::u16),
                   entry(StationSignal::line_frequency, Table::holding_registers, 5, WordType::u16, 1)};
    return compile(map).value();
}

TcpEndpoint local(std::uint16_t port) {
    return {"127.0.0.1", std::to_string(port)};
}

/// A simulated device by a plan.
class Device {
  public:
    explicit Device(const FieldPlan& plan, std::uint16_t port = 0) : board_(plan), encoder_(plan) {
        ServerOptions options;
        options.port = port;
        server_ = ReadServer::start(options, {[this](const Request& request, std::span<std::uint16_t> out) {
                                                  return board_.read(request, out);
                                              },
                                              nullptr,
                                              {}})
                      .value();
    }
    void show(double volts, std::int64_t time_ms = morning_ms, double hertz = 60) {
        config::Readings readings{};
        readings[index_of(StationSignal::plant_time)] = static_cast<double>(time_ms);
        readings[index_of(StationSignal::line_voltage)] = volts;
        readings[index_of(StationSignal::line_frequency)] = hertz;
        readings[index_of(StationSignal::high_float)] = 1;
        board_.publish(encoder_.encode(readings), {time_ms, time_ms, people});
    }
    config::PeopleCounts people;  ///< shown with the next readings
    std::uint16_t port() const { return server_->port(); }
    ReadServer& server() { return *server_; }

  private:
    FieldBoard board_;
    FieldEncoder encoder_;
    std::unique_ptr<ReadServer> server_;
};

/// A peer that answers each request of any client with bytes of the test's choosing.
class OddPeer {
  public:
    explicit OddPeer(std::function<Bytes(const Bytes& request)> reply) : reply_(std::move(reply)) {
        listener_ = ::socket(AF_INET, SOCK_STREAM, 0);
        sockaddr_in at{};
        at.sin_family = AF_INET;
        at.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
        EXPECT_EQ(::bind(listener_, reinterpret_cast<const sockaddr*>(&at), sizeof at), 0);
        EXPECT_EQ(::listen(listener_, 8), 0);
        socklen_t size = sizeof at;
        ::getsockname(listener_, reinterpret_cast<sockaddr*>(&at), &size);
        port_ = ntohs(at.sin_port);
        thread_ = std::thread([this] { run(); });
    }
    ~OddPeer() {
        stopping_ = true;
        ::shutdown(listener_, SHUT_RDWR);
        thread_.join();
        ::close(listener_);
    }
    OddPeer(const OddPeer&) = delete;
    OddPeer& operator=(const OddPeer&) = delete;
    std::uint16_t port() const { return port_; }
    int connections() const { return connections_; }

  private:
    bool readable(int socket) const {
        while (!stopping_) {
            pollfd at{socket, POLLIN, 0};
            if (::poll(&at, 1, 10) == 1) return true;
        }
        return false;
    }
    void run() {
        while (readable(listener_)) {
            const int client = ::accept(listener_, nullptr, nullptr);
            if (client < 0) return;
            ++connections_;
            Bytes request(12);
            while (readable(client) && ::recv(client, request.data(), request.size(), 0) == 12) {
                const Bytes bytes = reply_(request);
                (void)::send(client, bytes.data(), bytes.size(), MSG_NOSIGNAL);
            }
            ::close(client);
        }
    }
    std::function<Bytes(const Bytes&)> reply_;
    int listener_ = -1;
    std::uint16_t port_ = 0;
    std::atomic<bool> stopping_{false};
    std::atomic<int> connections_{0};
    std::thread thread_;
};

/// The right answer to a read of one register.
Bytes right_answer(const Bytes& request, std::uint16_t value) {
    return {request[0],
            request[1],
            0,
            0,
            0,
            5,
            request[6],
            request[7],
            2,
            static_cast<std::uint8_t>(value >> 8U),
            static_cast<std::uint8_t>(value)};
}

FieldPlan one_register() {
    FieldMap map;
    map.groups = {{"scan", 100}};
    map.entries = {entry(StationSignal::line_voltage, Table::input_registers, 4, WordType::u16)};
    return compile(map).value();
}

/// Decodes what a link has brought.
class Seen {
  public:
    explicit Seen(const FieldPlan& plan) : decoder_(plan) {}
    const core::Inputs& after(const FieldLink& link, std::int64_t now_ms) {
        apply(link.snapshot(), since_, 0, decoder_);
        since_ = link.snapshot().batch;
        return decoder_.inputs_at(now_ms);
    }

  private:
    FieldDecoder decoder_;
    std::uint64_t since_ = 0;
};

TEST(FieldLink, reads_registers_and_bits_of_a_device) {
    const FieldPlan plan = site_plan();
    Device device(plan);
    device.show(2300);
    FieldLink link(plan, local(device.port()), quick);
    Seen seen(plan);

    ASSERT_TRUE(link.poll(morning_ms));

    const core::Inputs& inputs = seen.after(link, morning_ms + 30);
    EXPECT_EQ(inputs.line.voltage_v.value, 2300);
    EXPECT_EQ(inputs.line.voltage_v.quality, Quality::good);
    EXPECT_EQ(inputs.line.voltage_v.age_ms, 30);
    EXPECT_TRUE(inputs.high_float.on);
    EXPECT_EQ(inputs.drive.ready.cause, Cause::not_fitted);
}

TEST(FieldLink, marks_every_signal_lost_when_no_device_listens) {
    const FieldPlan plan = site_plan();
    std::uint16_t closed_port = 0;
    { closed_port = Device(plan).port(); }
    FieldLink link(plan, local(closed_port), quick);
    Seen seen(plan);

    ASSERT_TRUE(link.poll(morning_ms));

    EXPECT_EQ(seen.after(link, morning_ms).line.voltage_v.cause, Cause::link_lost);
    EXPECT_FALSE(link.snapshot().link_up);
    EXPECT_FALSE(link.snapshot().trouble.empty());
}

TEST(FieldLink, keeps_the_last_value_with_its_age_when_the_device_goes_and_recovers_when_the_device_returns) {
    const FieldPlan plan = site_plan();
    auto device = std::make_unique<Device>(plan);
    device->show(2300);
    const std::uint16_t port = device->port();
    FieldLink link(plan, local(port), quick);
    Seen seen(plan);
    link.poll(morning_ms);
    seen.after(link, morning_ms);

    device.reset();
    link.poll(morning_ms + 1000);

    const core::Inputs& inputs = seen.after(link, morning_ms + 1000);
    EXPECT_EQ(inputs.line.voltage_v.cause, Cause::link_lost);
    EXPECT_EQ(inputs.line.voltage_v.value, 2300);
    EXPECT_EQ(inputs.line.voltage_v.age_ms, 1000);

    device = std::make_unique<Device>(plan, port);
    device->show(2250);
    const auto until = Clock::now() + long_enough;
    while (!link.snapshot().link_up && Clock::now() < until) link.poll(morning_ms + 2000);
    seen.after(link, morning_ms + 2000);
    EXPECT_EQ(inputs.line.voltage_v.quality, Quality::good);
    EXPECT_EQ(inputs.line.voltage_v.value, 2250);
}

TEST(FieldLink, turns_an_exception_of_the_device_into_bad_quality_and_keeps_the_link) {
    const FieldPlan plan = site_plan();
    FieldMap other;
    other.groups = {{"scan", 100}};
    other.entries = {entry(StationSignal::high_float, Table::discrete_inputs, 30, WordType::bit)};
    const FieldPlan only_the_float = compile(other).value();
    Device device(only_the_float);
    device.show(2300);
    FieldLink link(plan, local(device.port()), quick);
    Seen seen(plan);

    link.poll(morning_ms);

    const core::Inputs& inputs = seen.after(link, morning_ms);
    EXPECT_EQ(inputs.line.voltage_v.cause, Cause::device_exception);
    EXPECT_EQ(inputs.high_float.quality, Quality::good);
    EXPECT_TRUE(link.snapshot().link_up);
}

TEST(FieldLink, closes_the_link_to_a_silent_peer_after_the_response_time) {
    const OddPeer silent([](const Bytes&) { return Bytes{}; });
    FieldLink link(one_register(), local(silent.port()), quick);

    const auto begun = Clock::now();
    link.poll(morning_ms);

    EXPECT_GE(Clock::now() - begun, response);
    EXPECT_LT(Clock::now() - begun, long_enough);
    EXPECT_FALSE(link.snapshot().link_up);
}

TEST(FieldLink, closes_the_link_to_a_peer_whose_answer_stops_in_the_middle) {
    const OddPeer halting([](const Bytes& request) {
        Bytes answer = right_answer(request, 2300);
        answer.resize(8);
        return answer;
    });
    FieldLink link(one_register(), local(halting.port()), quick);

    const auto begun = Clock::now();
    link.poll(morning_ms);

    EXPECT_LT(Clock::now() - begun, long_enough);
    EXPECT_FALSE(link.snapshot().link_up);
}

TEST(FieldLink, takes_no_value_from_an_answer_to_another_transaction) {
    const FieldPlan plan = one_register();
    const OddPeer confused([](const Bytes& request) {
        Bytes answer = right_answer(request, 9999);
        answer[1] = static_cast<std::uint8_t>(answer[1] + 1);
        return answer;
    });
    FieldLink link(plan, local(confused.port()), quick);
    Seen seen(plan);

    link.poll(morning_ms);

    const core::Analog& voltage = seen.after(link, morning_ms).line.voltage_v;
    EXPECT_EQ(voltage.cause, Cause::undecodable);
    EXPECT_EQ(voltage.value, 0) << "never an invented value";
}

TEST(FieldLink, takes_no_value_from_garbage) {
    const FieldPlan plan = one_register();
    const OddPeer garbled(
        [](const Bytes&) { return Bytes{0xDE, 0xAD, 0xBE, 0xEF, 0x00, 0x05, 0xFF, 0x84, 0x63, 0x01, 0x02}; });
    FieldLink link(plan, local(garbled.port()), quick);
    Seen seen(plan);

    link.poll(morning_ms);

    EXPECT_EQ(seen.after(link, morning_ms).line.voltage_v.quality, Quality::bad);
    EXPECT_EQ(seen.after(link, morning_ms).line.voltage_v.value, 0);
}

TEST(FieldLink, opens_a_new_connection_after_a_late_answer_so_that_no_other_request_takes_it) {
    const FieldPlan plan = one_register();
    // The first answer comes too late; on the same connection it would come before the second answer.
    std::atomic<int> asked{0};
    const OddPeer peer(
        [&](const Bytes& request) { return ++asked == 1 ? Bytes{} : right_answer(request, 2222); });
    FieldLink link(plan, local(peer.port()), quick);
    Seen seen(plan);
    link.poll(morning_ms);
    ASSERT_FALSE(link.snapshot().link_up);

    const auto until = Clock::now() + long_enough;
    while (!link.snapshot().link_up && Clock::now() < until) link.poll(morning_ms + 100);

    EXPECT_EQ(seen.after(link, morning_ms + 100).line.voltage_v.value, 2222);
    EXPECT_EQ(peer.connections(), 2);
}

TEST(FieldLink, dates_a_batch_by_the_plants_clock_and_polls_slow_groups_by_it) {
    const FieldPlan plan = bench_plan();
    Device device(plan);
    FieldLink link(plan, local(device.port()), quick);
    Seen seen(plan);
    for (std::int64_t now_ms = morning_ms; now_ms < morning_ms + 1000; now_ms += 100) {
        device.show(2300, now_ms, static_cast<double>(60 + (now_ms - morning_ms) / 100));
        ASSERT_TRUE(link.poll(0));
        const core::Inputs& inputs = seen.after(link, now_ms);
        EXPECT_EQ(link.snapshot().plant_time_ms, now_ms);
        EXPECT_EQ(inputs.line.voltage_v.age_ms, 0);
        EXPECT_EQ(inputs.line.frequency_hz.age_ms, now_ms - morning_ms);
        EXPECT_EQ(inputs.line.frequency_hz.value, 60);
    }
}

TEST(FieldLink, reads_what_people_do_on_a_bench_that_runs_freely_once_a_second_of_its_clock) {
    const FieldPlan plan = bench_plan();
    Device device(plan);
    FieldLink link(plan, local(device.port()), quick);
    device.people = {1, 0};
    device.show(2300);
    ASSERT_TRUE(link.poll(0));
    EXPECT_EQ(link.snapshot().people, (config::PeopleCounts{1, 0}));
    device.people = {2, 1};
    device.show(2300, morning_ms + 900);
    ASSERT_TRUE(link.poll(0));
    EXPECT_EQ(link.snapshot().people, (config::PeopleCounts{1, 0}));
    device.show(2300, morning_ms + 1000);
    ASSERT_TRUE(link.poll(0));
    EXPECT_EQ(link.snapshot().people, (config::PeopleCounts{2, 1}));
}

TEST(FieldLink, has_no_news_while_the_plants_clock_does_not_move) {
    const FieldPlan plan = bench_plan();
    Device device(plan);
    device.show(2300);
    FieldLink link(plan, local(device.port()), quick);
    ASSERT_TRUE(link.poll(0));
    EXPECT_FALSE(link.poll(0));
    EXPECT_FALSE(link.poll(0));
    device.show(2300, morning_ms + 100);
    EXPECT_TRUE(link.poll(0));
}

TEST(FieldLink, sees_that_the_plants_run_is_over) {
    const FieldPlan plan = bench_plan();
    Device device(plan);
    device.show(2300);
    FieldLink link(plan, local(device.port()), quick);
    link.poll(0);
    ASSERT_FALSE(link.snapshot().clock_stopped);

    device.show(2300, -1);  // a time that no clock can have is written as "not available"
    link.poll(0);

    EXPECT_TRUE(link.snapshot().clock_stopped);
}

TEST(FieldReader, never_makes_the_scan_wait_for_the_wire) {
    const OddPeer silent([](const Bytes&) { return Bytes{}; });
    FieldReader reader(one_register(), local(silent.port()), {.response = long_enough},
                       [] { return morning_ms; });
    FieldSnapshot snapshot;

    const auto begun = Clock::now();
    EXPECT_FALSE(reader.take_newer(snapshot, milliseconds(0)));

    EXPECT_LT(Clock::now() - begun, long_enough / 2);
}

TEST(FieldReader, ends_at_once_while_it_waits_for_an_answer) {
    std::atomic<bool> asked{false};
    const OddPeer silent([&](const Bytes&) {
        asked = true;
        return Bytes{};
    });
    const auto begun = Clock::now();
    {
        const FieldReader reader(one_register(), local(silent.port()), {.response = milliseconds(60000)},
                                 [] { return morning_ms; });
        while (!asked && Clock::now() - begun < long_enough) std::this_thread::yield();
    }
    EXPECT_LT(Clock::now() - begun, long_enough);
}

TEST(FieldReader, brings_news_of_a_running_plant) {
    const FieldPlan plan = bench_plan();
    Device device(plan);
    device.show(2300);
    FieldReader reader(plan, local(device.port()), quick, [] { return std::int64_t{0}; });
    FieldSnapshot snapshot;
    ASSERT_TRUE(reader.take_newer(snapshot, long_enough));
    device.show(2310, morning_ms + 100);
    ASSERT_TRUE(reader.take_newer(snapshot, long_enough));
    EXPECT_EQ(snapshot.plant_time_ms, morning_ms + 100);
}

/// A serial device on the far end of a pseudo-terminal, served by libmodbus.
class SerialDevice {
  public:
    SerialDevice() {
        near_ = ::posix_openpt(O_RDWR | O_NOCTTY);
        far_ = ::posix_openpt(O_RDWR | O_NOCTTY);
        for (const int end : {near_, far_}) {
            EXPECT_EQ(::grantpt(end), 0);
            EXPECT_EQ(::unlockpt(end), 0);
        }
        near_name_ = name_of(near_);
        far_name_ = name_of(far_);
        cable_ = std::thread([this] { carry(); });
        thread_ = std::thread([this] { serve(); });
    }
    ~SerialDevice() {
        stopping_ = true;
        thread_.join();
        cable_.join();
        ::close(near_);
        ::close(far_);
    }
    SerialDevice(const SerialDevice&) = delete;
    SerialDevice& operator=(const SerialDevice&) = delete;
    const std::string& name() const { return near_name_; }
    bool ready() const { return ready_; }

  private:
    static std::string name_of(int end) {
        std::array<char, 64> name{};
        EXPECT_EQ(::ptsname_r(end, name.data(), name.size()), 0);
        return name.data();
    }
    /// Copies the bytes of each master side to the other master side.
    void carry() {
        while (!stopping_) {
            std::array<pollfd, 2> ends{{{near_, POLLIN, 0}, {far_, POLLIN, 0}}};
            if (::poll(ends.data(), ends.size(), 10) <= 0) continue;
            for (std::size_t i = 0; i < 2; ++i) {
                if ((ends[i].revents & POLLIN) == 0) continue;
                std::array<std::uint8_t, 256> bytes{};
                const ssize_t size = ::read(ends[i].fd, bytes.data(), bytes.size());
                if (size <= 0) continue;
                EXPECT_EQ(::write(ends[1 - i].fd, bytes.data(), static_cast<std::size_t>(size)), size);
            }
        }
    }
    void serve() {
        modbus_t* const context = modbus_new_rtu(far_name_.c_str(), 115200, 'N', 8, 1);
        modbus_set_slave(context, 17);
        EXPECT_EQ(modbus_connect(context), 0);
        modbus_set_indication_timeout(context, 0, 20000);
        modbus_mapping_t* const values = modbus_mapping_new(0, 0, 0, 8);
        values->tab_input_registers[4] = 2300;
        ready_ = true;
        std::array<std::uint8_t, MODBUS_RTU_MAX_ADU_LENGTH> request{};
        while (!stopping_) {
            const int size = modbus_receive(context, request.data());
            if (size > 0) modbus_reply(context, request.data(), size, values);
        }
        modbus_mapping_free(values);
        modbus_close(context);
        modbus_free(context);
    }
    int near_ = -1, far_ = -1;
    std::string near_name_, far_name_;
    std::atomic<bool> stopping_{false}, ready_{false};
    std::thread cable_, thread_;
};

TEST(FieldLink, reads_a_device_on_a_serial_line) {
    SerialDevice device;
    const auto until = Clock::now() + long_enough;
    while (!device.ready() && Clock::now() < until) std::this_thread::yield();
    FieldMap map;
    map.groups = {{"scan", 100}};
    map.entries = {entry(StationSignal::line_voltage, Table::input_registers, 4, WordType::u16)};
    map.entries[0].unit_id = 17;
    const FieldPlan plan = compile(map).value();
    ClientOptions patient = quick;
    patient.response = milliseconds(1000);
    FieldLink link(plan, RtuEndpoint{device.name(), 115200, 'N', 1}, patient);
    Seen seen(plan);

    link.poll(morning_ms);

    EXPECT_EQ(seen.after(link, morning_ms).line.voltage_v.value, 2300) << link.snapshot().trouble;
}

}  // namespace
}  // namespace freshet::modbus
