#include "record/disk.hpp"

#include <sqlite3.h>

#include <algorithm>
#include <chrono>
#include <cstring>
#include <random>
#include <stdexcept>
#include <thread>

namespace halfturn::test {
namespace {

Disk* current = nullptr;

struct File {
    sqlite3_file base;
    const char* name;   // SQLite's own; lives as long as the file is open
    bool watched;
    sqlite3_file* below() { return reinterpret_cast<sqlite3_file*>(this + 1); }
};

File* of(sqlite3_file* file) { return reinterpret_cast<File*>(file); }
sqlite3_file* under(sqlite3_file* file) { return of(file)->below(); }
std::string short_name(const char* path) {
    const std::string whole = path;
    return whole.substr(whole.rfind('/') + 1);
}

int file_close(sqlite3_file* f) { return under(f)->pMethods->xClose(under(f)); }
int file_read(sqlite3_file* f, void* to, int size, sqlite3_int64 at) { return under(f)->pMethods->xRead(under(f), to, size, at); }
int file_write(sqlite3_file* f, const void* from, int size, sqlite3_int64 at) {
    if (of(f)->watched) {
        if (const int code = current->next(0)) return code;
        current->note({DiskOp::Kind::write, short_name(of(f)->name), at,
                       std::string(static_cast<const char*>(from), static_cast<std::size_t>(size))});
    }
    return under(f)->pMethods->xWrite(under(f), from, size, at);
}
int file_truncate(sqlite3_file* f, sqlite3_int64 size) {
    if (of(f)->watched) {
        if (const int code = current->next(SQLITE_IOERR_TRUNCATE)) return code;
        current->note({DiskOp::Kind::truncate, short_name(of(f)->name), size, {}});
    }
    return under(f)->pMethods->xTruncate(under(f), size);
}
int file_sync(sqlite3_file* f, int flags) {
    if (of(f)->watched) {
        if (current->sync_takes_ms > 0) std::this_thread::sleep_for(std::chrono::milliseconds(current->sync_takes_ms));
        if (const int code = current->next(SQLITE_IOERR_FSYNC)) return code;
        current->note({DiskOp::Kind::sync, short_name(of(f)->name), 0, {}});
    }
    return under(f)->pMethods->xSync(under(f), flags);
}
int file_size(sqlite3_file* f, sqlite3_int64* size) { return under(f)->pMethods->xFileSize(under(f), size); }
int file_lock(sqlite3_file* f, int level) { return under(f)->pMethods->xLock(under(f), level); }
int file_unlock(sqlite3_file* f, int level) { return under(f)->pMethods->xUnlock(under(f), level); }
int file_reserved(sqlite3_file* f, int* out) { return under(f)->pMethods->xCheckReservedLock(under(f), out); }
int file_control(sqlite3_file* f, int op, void* arg) { return under(f)->pMethods->xFileControl(under(f), op, arg); }
int file_sector(sqlite3_file* f) { return under(f)->pMethods->xSectorSize(under(f)); }
int file_traits(sqlite3_file* f) { return under(f)->pMethods->xDeviceCharacteristics(under(f)); }
int shm_map(sqlite3_file* f, int region, int size, int extend, void volatile** at) {
    return under(f)->pMethods->xShmMap(under(f), region, size, extend, at);
}
int shm_lock(sqlite3_file* f, int offset, int n, int flags) { return under(f)->pMethods->xShmLock(under(f), offset, n, flags); }
void shm_barrier(sqlite3_file* f) { under(f)->pMethods->xShmBarrier(under(f)); }
int shm_unmap(sqlite3_file* f, int remove) { return under(f)->pMethods->xShmUnmap(under(f), remove); }

const sqlite3_io_methods methods = {2, file_close, file_read, file_write, file_truncate, file_sync, file_size, file_lock,
                                    file_unlock, file_reserved, file_control, file_sector, file_traits, shm_map, shm_lock,
                                    shm_barrier, shm_unmap, nullptr, nullptr};

int disk_open(sqlite3_vfs*, const char* name, sqlite3_file* f, int flags, int* out_flags) {
    File* file = of(f);
    file->base.pMethods = nullptr;
    file->name = name;
    file->watched = name != nullptr && (flags & (SQLITE_OPEN_MAIN_DB | SQLITE_OPEN_MAIN_JOURNAL | SQLITE_OPEN_WAL)) != 0;
    int there = 1;
    sqlite3_vfs* below = current->below();
    if (file->watched) below->xAccess(below, name, SQLITE_ACCESS_EXISTS, &there);
    const int code = below->xOpen(below, name, file->below(), flags, out_flags);
    if (file->below()->pMethods != nullptr) file->base.pMethods = &methods;
    if (code == SQLITE_OK && file->watched && !there) current->note({DiskOp::Kind::create, short_name(name), 0, {}});
    return code;
}
int disk_delete(sqlite3_vfs*, const char* name, int sync_folder) {
    sqlite3_vfs* below = current->below();
    const int code = below->xDelete(below, name, sync_folder);
    if (code == SQLITE_OK) current->note({DiskOp::Kind::remove, short_name(name), 0, {}, sync_folder != 0});
    return code;
}
int disk_access(sqlite3_vfs*, const char* name, int flags, int* out) {
    return current->below()->xAccess(current->below(), name, flags, out);
}
int disk_full_name(sqlite3_vfs*, const char* name, int size, char* out) {
    return current->below()->xFullPathname(current->below(), name, size, out);
}

void write_into(std::string& content, std::int64_t offset, const std::string& bytes) {
    const auto at = static_cast<std::size_t>(offset);
    if (content.size() < at + bytes.size()) content.resize(at + bytes.size(), '\0');
    content.replace(at, bytes.size(), bytes);
}

}  // namespace

Disk::Disk() : below_(sqlite3_vfs_find(nullptr)), made_(new sqlite3_vfs(*below_)) {
    if (current != nullptr) throw std::logic_error("one disk at a time");
    current = this;
    made_->zName = "halfturn-test-disk";
    made_->szOsFile = static_cast<int>(sizeof(File)) + below_->szOsFile;
    made_->pNext = nullptr;
    made_->xOpen = disk_open;
    made_->xDelete = disk_delete;
    made_->xAccess = disk_access;
    made_->xFullPathname = disk_full_name;
    sqlite3_vfs_register(made_, 1);
}

Disk::~Disk() {
    sqlite3_vfs_unregister(made_);
    sqlite3_vfs_register(below_, 1);
    delete made_;
    current = nullptr;
}

void Disk::refuse_from(std::int64_t n, int code) {
    const std::lock_guard lock(mutex_);
    until_refusal_ = n;
    code_ = code;
    refused_ = false;
}

void Disk::heal() {
    const std::lock_guard lock(mutex_);
    until_refusal_ = -1;
}

int Disk::next(int code_if_no_write) {
    const std::lock_guard lock(mutex_);
    if (until_refusal_ < 0) return SQLITE_OK;
    if (until_refusal_ > 0 && --until_refusal_ > 0) return SQLITE_OK;
    refused_ = true;
    return code_ == SQLITE_FULL && code_if_no_write != 0 ? code_if_no_write : code_;
}

void Disk::note(DiskOp op) {
    const std::lock_guard lock(mutex_);
    if (remember_) ops_.push_back(std::move(op));
}

void Disk::acknowledged(std::int64_t what) { note({DiskOp::Kind::acknowledged, "", what, {}}); }

std::map<std::string, std::string> after_power_loss(const std::vector<DiskOp>& ops, std::size_t at, std::uint64_t seed) {
    struct State {
        std::string safe;
        bool there = false, sure = false;      // is the name there; will it be after a crash
        std::vector<const DiskOp*> pending;
    };
    std::map<std::string, State> files;
    for (std::size_t i = 0; i < at; ++i) {
        const DiskOp& op = ops[i];
        if (op.kind == DiskOp::Kind::acknowledged) continue;
        State& file = files[op.file];
        switch (op.kind) {
            case DiskOp::Kind::create: file = {{}, true, false, {}}; break;
            case DiskOp::Kind::write:
            case DiskOp::Kind::truncate:
                if (!file.there) file.there = file.sure = true;  // made, and synced by name, before we watched
                file.pending.push_back(&op);
                break;
            case DiskOp::Kind::sync:
                file.there = file.sure = true;
                for (const DiskOp* write : file.pending) {
                    if (write->kind == DiskOp::Kind::truncate) file.safe.resize(static_cast<std::size_t>(write->offset), '\0');
                    else write_into(file.safe, write->offset, write->bytes);
                }
                file.pending.clear();
                break;
            case DiskOp::Kind::remove:
                if (op.durable) file = {};
                else file.there = false;
                break;
            default: break;
        }
    }

    std::mt19937_64 random(seed * 1000003 + at);
    const auto one_in = [&](std::uint64_t n) { return random() % n == 0; };
    const auto mood = random() % 4;  // 0 nothing more arrived, 1 all did, 2 some, 3 some and out of order
    std::map<std::string, std::string> found;
    for (auto& [name, file] : files) {
        if (!file.there && (!file.sure || one_in(2))) continue;
        if (!file.sure && one_in(2)) continue;
        std::string content = file.safe;
        std::vector<const DiskOp*> writes = file.pending;
        if (mood == 3) std::shuffle(writes.begin(), writes.end(), random);
        for (const DiskOp* write : writes) {
            if (mood == 0 || (mood >= 2 && one_in(3))) continue;
            if (write->kind == DiskOp::Kind::truncate) {
                content.resize(static_cast<std::size_t>(write->offset), '\0');
                continue;
            }
            std::string bytes = write->bytes;
            if (mood >= 2 && one_in(3)) {
                // Sector by sector: old, new or garbage.
                for (std::size_t sector = 0; sector < bytes.size(); sector += 512) {
                    const std::size_t size = std::min<std::size_t>(512, bytes.size() - sector);
                    const auto where = static_cast<std::size_t>(write->offset) + sector;
                    if (one_in(3)) {
                        const std::string old = where < content.size() ? content.substr(where, size) : std::string();
                        bytes.replace(sector, size, old + std::string(size - old.size(), '\0'));
                    } else if (one_in(4)) {
                        for (std::size_t i = 0; i < size; ++i) bytes[sector + i] = static_cast<char>(random());
                    }
                }
            }
            write_into(content, write->offset, bytes);
        }
        found[name] = content;
    }
    return found;
}

}  // namespace halfturn::test
