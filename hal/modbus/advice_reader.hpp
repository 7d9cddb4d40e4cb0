// Reads the controller's advice for a bench that follows it.
// One reason to change: how a follower reads advice.
#pragma once

#include <chrono>
#include <condition_variable>
#include <cstdint>
#include <mutex>
#include <optional>
#include <string>
#include <thread>

#include "hal/modbus/advice_decoder.hpp"
#include "hal/modbus/read_client.hpp"

namespace freshet::modbus {

/// One link to an advice server, used from one thread.
class AdviceLink {
  public:
    AdviceLink(const Endpoint& endpoint, const ClientOptions& options);

    /// Connects when not connected and when the pause after a failure permits a try. Then checks the map and
    /// reads the advice block. No value means no link or another map; `trouble` says which.
    std::optional<AdviceRead> read();
    bool link_up() const { return client_.connected() && identity_.ours; }
    const AdviceIdentity& identity() const { return identity_; }
    const std::string& trouble() const { return trouble_; }
    std::chrono::steady_clock::time_point next_try() const;
    void interrupt() { client_.interrupt(); }

  private:
    bool prove_map();

    ReadClient client_;
    AdviceIdentity identity_;
    bool proven_ = false;
    std::chrono::steady_clock::time_point map_retry_{};
    std::string trouble_;
};

/// The same link on a thread of its own, for a plant that does not wait for advice.
class AdviceReader {
  public:
    AdviceReader(const Endpoint& endpoint, const ClientOptions& options);
    ~AdviceReader();
    AdviceReader(const AdviceReader&) = delete;
    AdviceReader& operator=(const AdviceReader&) = delete;

    struct Latest {
        AdviceRead read;  ///< the last read; scan_count 0 before the first read
        bool link_up = false;
        std::string trouble;
    };
    Latest latest() const;

  private:
    void run();

    AdviceLink link_;
    mutable std::mutex mutex_;
    std::condition_variable wake_;
    Latest latest_;
    bool stopping_ = false;
    std::thread thread_;
};

}  // namespace freshet::modbus
