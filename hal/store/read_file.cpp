// Plain POSIX: interrupted reads continue.
#include "hal/store/read_file.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <system_error>

namespace freshet::store {
namespace {

StoreError unreadable(const std::filesystem::path& path, int code) {
    return {path.string() + ": cannot read: " + std::generic_category().message(code)};
}

}  // namespace

tl::expected<std::string, StoreError> read_file(const std::filesystem::path& path) {
    const int descriptor = ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
    if (descriptor < 0) return tl::make_unexpected(unreadable(path, errno));
    std::string bytes;
    std::array<char, 65536> part{};
    ssize_t got = 0;
    do {
        got = ::read(descriptor, part.data(), part.size());
        if (got > 0) bytes.append(part.data(), static_cast<std::size_t>(got));
    } while (got > 0 || (got < 0 && errno == EINTR));
    const int code = errno;
    ::close(descriptor);
    if (got < 0) return tl::make_unexpected(unreadable(path, code));
    return bytes;
}

}  // namespace freshet::store
