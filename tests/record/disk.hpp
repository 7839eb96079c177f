// A disk that can be made to fail, to stall, and to lose power. It stands between SQLite and the real file system as
// SQLite's default VFS while it lives, so the store under test runs exactly as in production.
#pragma once

#include <atomic>
#include <cstdint>
#include <map>
#include <mutex>
#include <string>
#include <vector>

struct sqlite3_vfs;

namespace halfturn::test {

struct DiskOp {
    enum class Kind : std::uint8_t { create, write, truncate, sync, remove, acknowledged } kind;
    std::string file;           // name without its folder
    std::int64_t offset = 0;    // for truncate: the new size; for acknowledged: what was
    std::string bytes;
    bool durable = false;       // of a remove: the folder was synced with it
};

class Disk {
public:
    Disk();
    ~Disk();
    Disk(const Disk&) = delete;
    Disk& operator=(const Disk&) = delete;

    // ---- trouble ---------------------------------------------------------------------------------------------------
    // The n-th write (or sync, truncate) from now and all later ones are refused with this SQLite code, until healed.
    void refuse_from(std::int64_t n, int code);
    void heal();
    bool refused() const { return refused_; }  // did it come to that?
    std::atomic<int> sync_takes_ms{0};

    // ---- what happened ----------------------------------------------------------------------------------------------
    void remember() { remember_ = true; }       // from here on
    void acknowledged(std::int64_t what);       // the store has promised this
    const std::vector<DiskOp>& ops() const { return ops_; }

    // For the VFS.
    int next(int refused_code_if_sync);
    void note(DiskOp op);
    sqlite3_vfs* below() const { return below_; }

private:
    sqlite3_vfs* below_;
    sqlite3_vfs* made_;
    std::mutex mutex_;
    std::int64_t until_refusal_ = -1;
    int code_ = 0;
    std::atomic<bool> refused_{false};
    bool remember_ = false;
    std::vector<DiskOp> ops_;
};

// What a disk may hold after the power went just before op number `at` took effect. Synced bytes are there. Of the rest each
// write may be there, missing, torn at a sector, filled with garbage, or have overtaken another; a file never synced may be
// missing. (Bytes next to a write are not harmed: SQLite too counts on that.)
std::map<std::string, std::string> after_power_loss(const std::vector<DiskOp>& ops, std::size_t at, std::uint64_t seed);

}  // namespace halfturn::test
