// A disk between SQLite and the real one that a test can make slow, make fail, or cut the power of.
// One reason to change: a way in which a disk fails.
#pragma once

#include <sqlite3.h>

#include <chrono>
#include <condition_variable>
#include <cstring>
#include <filesystem>
#include <mutex>
#include <new>
#include <string>

namespace freshet::store::testing {

/// Everything that SQLite does in this process goes through it while it lives. What a sync has confirmed is
/// copied to a file of the same name with ".synced" behind it: that is all that a loss of power would leave.
class ShimDisk {
  public:
    ShimDisk() : real_(sqlite3_vfs_find(nullptr)), vfs_(*real_) {
        vfs_.zName = "shim";
        vfs_.szOsFile = static_cast<int>(sizeof(File)) + real_->szOsFile;
        vfs_.pAppData = this;
        vfs_.pNext = nullptr;
        vfs_.xOpen = open;
        sqlite3_vfs_register(&vfs_, 1);
    }
    ~ShimDisk() {
        sqlite3_vfs_unregister(&vfs_);
        sqlite3_vfs_register(real_, 1);
    }
    ShimDisk(const ShimDisk&) = delete;
    ShimDisk& operator=(const ShimDisk&) = delete;

    /// The n-th write or sync from now on, counted from 1, fails, and every one after it; 0: none.
    void fail_from(int call) {
        calls_ = 0;
        fail_from_ = call;
    }
    int calls() const { return calls_; }

    /// While held, a sync does not return.
    void hold_syncs(bool hold) {
        {
            const std::lock_guard lock(mutex_);
            held_ = hold;
        }
        changed_.notify_all();
    }
    /// False: none came within the limit.
    [[nodiscard]] bool wait_until_a_sync_is_held(std::chrono::seconds limit) {
        std::unique_lock lock(mutex_);
        return changed_.wait_for(lock, limit, [this] { return waiting_; });
    }

    /// What the power would have left of the file at `path`, put at `place`.
    static void put_what_was_synced(const std::filesystem::path& path, const std::filesystem::path& place) {
        for (const char* part : {"", "-wal"}) {
            const std::filesystem::path from = path.string() + part + ".synced";
            const std::filesystem::path to = place.string() + part;
            std::filesystem::remove(to);
            if (std::filesystem::exists(from)) std::filesystem::copy_file(from, to);
        }
    }

  private:
    struct File {
        sqlite3_file base;
        sqlite3_io_methods methods;
        ShimDisk* disk;
        const char* name;
        sqlite3_file* real() { return reinterpret_cast<sqlite3_file*>(this + 1); }
    };
    static File& of(sqlite3_file* file) { return *reinterpret_cast<File*>(file); }

    bool fails() {
        ++calls_;
        return fail_from_ != 0 && calls_ >= fail_from_;
    }

    static int open(sqlite3_vfs* vfs, const char* name, sqlite3_file* file, int flags, int* out_flags) {
        auto* const disk = static_cast<ShimDisk*>(vfs->pAppData);
        auto* const shim = new (file) File{};
        const int code = disk->real_->xOpen(disk->real_, name, shim->real(), flags, out_flags);
        if (code != SQLITE_OK) return code;
        shim->disk = disk;
        shim->name = name;
        sqlite3_io_methods& all = shim->methods;
        all.iVersion = 1;  // no shared memory: the kept file locks itself for one program
        all.xClose = [](sqlite3_file* f) { return of(f).real()->pMethods->xClose(of(f).real()); };
        all.xRead = [](sqlite3_file* f, void* to, int n, sqlite3_int64 at) {
            return of(f).real()->pMethods->xRead(of(f).real(), to, n, at);
        };
        all.xWrite = [](sqlite3_file* f, const void* from, int n, sqlite3_int64 at) {
            if (of(f).disk->fails()) return SQLITE_IOERR_WRITE;
            return of(f).real()->pMethods->xWrite(of(f).real(), from, n, at);
        };
        all.xTruncate = [](sqlite3_file* f, sqlite3_int64 n) {
            return of(f).real()->pMethods->xTruncate(of(f).real(), n);
        };
        all.xSync = sync;
        all.xFileSize = [](sqlite3_file* f, sqlite3_int64* n) {
            return of(f).real()->pMethods->xFileSize(of(f).real(), n);
        };
        all.xLock = [](sqlite3_file* f, int how) { return of(f).real()->pMethods->xLock(of(f).real(), how); };
        all.xUnlock = [](sqlite3_file* f, int how) {
            return of(f).real()->pMethods->xUnlock(of(f).real(), how);
        };
        all.xCheckReservedLock = [](sqlite3_file* f, int* is) {
            return of(f).real()->pMethods->xCheckReservedLock(of(f).real(), is);
        };
        all.xFileControl = [](sqlite3_file* f, int what, void* with) {
            return of(f).real()->pMethods->xFileControl(of(f).real(), what, with);
        };
        all.xSectorSize = [](sqlite3_file* f) { return of(f).real()->pMethods->xSectorSize(of(f).real()); };
        // The real one may promise that a power loss does not spoil neighbouring bytes; this one promises
        // nothing.
        all.xDeviceCharacteristics = [](sqlite3_file*) { return 0; };
        shim->base.pMethods = &all;
        return SQLITE_OK;
    }

    static int sync(sqlite3_file* file, int flags) {
        File& shim = of(file);
        if (shim.disk->fails()) return SQLITE_IOERR_FSYNC;
        {
            std::unique_lock lock(shim.disk->mutex_);
            shim.disk->waiting_ = shim.disk->held_;
            shim.disk->changed_.notify_all();
            shim.disk->changed_.wait(lock, [&] { return !shim.disk->held_; });
        }
        const int code = shim.real()->pMethods->xSync(shim.real(), flags);
        if (code == SQLITE_OK && shim.name != nullptr)
            std::filesystem::copy_file(shim.name, std::string(shim.name) + ".synced",
                                       std::filesystem::copy_options::overwrite_existing);
        return code;
    }

    sqlite3_vfs* real_;
    sqlite3_vfs vfs_;
    int calls_ = 0, fail_from_ = 0;
    std::mutex mutex_;
    std::condition_variable changed_;
    bool held_ = false, waiting_ = false;
};

}  // namespace freshet::store::testing
