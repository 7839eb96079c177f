#include "record/live_lock.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <chrono>
#include <cstring>
#include <thread>
#include <utility>

#include "core/failure.hpp"

namespace halfturn::record {
namespace {

struct flock range_of(std::int64_t byte, short type) {
    struct flock range {};
    range.l_type = type;
    range.l_whence = SEEK_SET;
    range.l_start = byte;
    range.l_len = 1;
    return range;
}

}  // namespace

LiveLock::LiveLock(LiveLock&& other) noexcept : fd_(std::exchange(other.fd_, -1)) {}

LiveLock& LiveLock::operator=(LiveLock&& other) noexcept {
    std::swap(fd_, other.fd_);
    return *this;
}

LiveLock::~LiveLock() {
    if (fd_ >= 0) ::close(fd_);  // an open-file-description lock goes with its last descriptor
}

LiveLock LiveLock::take(const std::string& store, std::int64_t byte, int wait_ms) {
    const std::string path = store + "-live";
    LiveLock lock;
    lock.fd_ = ::open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0600);
    if (lock.fd_ < 0)
        throw Failure("the store " + store + " can't be written to, as its lock file " + path + " can't be opened: " +
                      std::strerror(errno) + "; check who owns it and its folder, and whether the disk is mounted read-only");
    const auto until = std::chrono::steady_clock::now() + std::chrono::milliseconds(wait_ms);
    while (true) {
        struct flock range = range_of(byte, F_WRLCK);
        if (::fcntl(lock.fd_, F_OFD_SETLK, &range) == 0) return lock;
        if (errno != EAGAIN && errno != EACCES && errno != EINTR)
            throw Failure("can't lock " + path + ": " + std::strerror(errno));
        if (std::chrono::steady_clock::now() >= until) return {};
        std::this_thread::sleep_for(std::chrono::milliseconds(5));
    }
}

bool live(const std::string& store, std::int64_t byte) {
    const int fd = ::open((store + "-live").c_str(), O_RDONLY | O_CLOEXEC);
    if (fd < 0) return false;
    struct flock range = range_of(byte == 0 ? 1 : byte, F_RDLCK);
    if (byte == 0) range.l_len = 0;  // to the end
    const bool asked = ::fcntl(fd, F_OFD_GETLK, &range) == 0;
    ::close(fd);
    return asked && range.l_type != F_UNLCK;
}

}  // namespace halfturn::record
