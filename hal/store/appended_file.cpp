// Plain POSIX: one write(2) for a batch. Short and interrupted writes continue. The first failure is kept.
#include "hal/store/appended_file.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <system_error>
#include <utility>

namespace freshet::store {
namespace {

StoreError error_at(const std::string& name, const char* what, int code) {
    return {name + ": " + what + ": " + std::generic_category().message(code)};
}

/// Writes all of `bytes`. Returns 0, or the errno of the failure.
int write_all(int descriptor, std::string_view bytes) noexcept {
    while (!bytes.empty()) {
        const ssize_t written = ::write(descriptor, bytes.data(), bytes.size());
        if (written < 0) {
            if (errno == EINTR) continue;
            return errno;
        }
        bytes.remove_prefix(static_cast<std::size_t>(written));
    }
    return 0;
}

/// Writes, syncs and closes; the descriptor is closed in every case.
std::optional<StoreError> write_sync_close(int descriptor, const std::string& name, std::string_view bytes) {
    int code = write_all(descriptor, bytes);
    const char* what = "cannot write";
    if (code == 0 && ::fsync(descriptor) != 0) {
        code = errno;
        what = "cannot sync";
    }
    if (::close(descriptor) != 0 && code == 0) {
        code = errno;
        what = "cannot close";
    }
    if (code != 0) return error_at(name, what, code);
    return std::nullopt;
}

}  // namespace

tl::expected<AppendedFile, StoreError> AppendedFile::create(const std::filesystem::path& path) {
    const int descriptor = ::open(path.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_APPEND | O_CLOEXEC, 0644);
    if (descriptor < 0) return tl::make_unexpected(error_at(path.string(), "cannot create", errno));
    return AppendedFile(descriptor, path.string());
}

AppendedFile::AppendedFile(AppendedFile&& other) noexcept
    : descriptor_(std::exchange(other.descriptor_, -1)),
      name_(std::move(other.name_)),
      failure_(std::move(other.failure_)) {}

AppendedFile& AppendedFile::operator=(AppendedFile&& other) noexcept {
    std::swap(descriptor_, other.descriptor_);
    std::swap(name_, other.name_);
    std::swap(failure_, other.failure_);
    return *this;
}

AppendedFile::~AppendedFile() {
    if (descriptor_ >= 0) ::close(descriptor_);
}

void AppendedFile::append(std::string_view bytes) noexcept {
    if (failure_) return;
    if (const int code = write_all(descriptor_, bytes); code != 0) fail("cannot write", code);
}

void AppendedFile::sync() noexcept {
    if (failure_) return;
    if (::fdatasync(descriptor_) != 0) fail("cannot sync", errno);
}

void AppendedFile::fail(const char* what, int code) noexcept {
    failure_ = error_at(name_, what, code);
}

std::optional<StoreError> sync_folder(const std::filesystem::path& folder) {
    const int descriptor = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (descriptor < 0) return error_at(folder.string(), "cannot open the folder", errno);
    const int result = ::fsync(descriptor);
    const int code = errno;
    ::close(descriptor);
    if (result != 0) return error_at(folder.string(), "cannot sync the folder", code);
    return std::nullopt;
}

std::optional<StoreError> replace_file(const std::filesystem::path& path, std::string_view bytes) {
    std::filesystem::path temporary = path;
    temporary += ".part";
    const int descriptor = ::open(temporary.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0644);
    if (descriptor < 0) return error_at(temporary.string(), "cannot create", errno);
    if (auto failed = write_sync_close(descriptor, temporary.string(), bytes)) {
        ::unlink(temporary.c_str());
        return failed;
    }
    if (::rename(temporary.c_str(), path.c_str()) != 0) {
        const int code = errno;
        ::unlink(temporary.c_str());
        return error_at(path.string(), "cannot put in place", code);
    }
    return sync_folder(path.has_parent_path() ? path.parent_path() : std::filesystem::path("."));
}

}  // namespace freshet::store
