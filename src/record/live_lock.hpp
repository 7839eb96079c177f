// Tells a running job from one whose recorder died: a recorder holds a file lock on one byte of FILE-live, which the
// system lets go the moment the process ends, however it ends. Works across programs, users, reboots and re-used pids.
#pragma once

#include <cstdint>
#include <string>

namespace halfturn::record {

class LiveLock {
public:
    LiveLock() = default;
    LiveLock(LiveLock&& other) noexcept;
    LiveLock& operator=(LiveLock&& other) noexcept;
    ~LiveLock();

    // Takes the byte, waiting at most `wait_ms`; an empty lock (held() false) when somebody else has it.
    // Throws Failure when the lock file can't be made.
    static LiveLock take(const std::string& store, std::int64_t byte, int wait_ms);
    bool held() const { return fd_ >= 0; }

private:
    int fd_ = -1;
};

// Does another recorder, in this process or any other, hold this byte? `byte` 0 asks for any byte from 1 on.
bool live(const std::string& store, std::int64_t byte);

}  // namespace halfturn::record
