// Starts the built halfturn with any words, no shell between, in a process group of its own, so that it can be killed at any
// moment.
//   Started run({"note", "1", "words", "--who", "Ann"}, folder / "out");  run.wait_ms(3);  run.kill();  run.out()
#pragma once

#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <spawn.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

#include <ctime>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <stdexcept>
#include <string>
#include <vector>

extern char** environ;

namespace halfturn::test {

class Started {
public:
    struct AnyProgram {};
    static constexpr AnyProgram any_program{};

    // halfturn with these words. Both its streams go into the file `out`; it runs in the folder `in`, if one is given.
    Started(std::vector<std::string> words, std::filesystem::path out, const std::filesystem::path& in = {}) : out_(std::move(out)) {
        words.insert(words.begin(), HALFTURN_BUILD_DIR "/halfturn");
        start(std::move(words), in);
    }
    // Another program: its path is the first word.
    Started(std::vector<std::string> words, std::filesystem::path out, AnyProgram) : out_(std::move(out)) { start(std::move(words), {}); }
    ~Started() {
        kill();
        if (ended_ >= 0) ::close(ended_);
    }
    Started(const Started&) = delete;
    Started& operator=(const Started&) = delete;

    // True when it ended by itself within this time.
    bool wait_ms(double ms) const {
        pollfd waits{ended_, POLLIN, 0};
        const timespec time{static_cast<time_t>(ms / 1000), static_cast<long>(ms * 1e6) % 1'000'000'000};
        return ::ppoll(&waits, 1, &time, nullptr) > 0;
    }
    // Does nothing to one that has ended.
    void kill() {
        if (pid_ <= 0) return;
        ::kill(pid_, SIGKILL);
        ::waitpid(pid_, &status_, 0);
        pid_ = 0;
    }
    // Programs it has started.
    std::vector<pid_t> children() const {
        std::ifstream list("/proc/" + std::to_string(pid_) + "/task/" + std::to_string(pid_) + "/children");
        return {std::istream_iterator<pid_t>(list), {}};
    }
    // Waits until it ends by itself.
    int end() {
        ::waitpid(pid_, &status_, 0);
        pid_ = 0;
        return status();
    }
    pid_t pid() const { return pid_; }
    bool was_killed() const { return WIFSIGNALED(status_); }
    int status() const { return WIFEXITED(status_) ? WEXITSTATUS(status_) : -1; }
    std::string out() const {
        std::ifstream file(out_, std::ios::binary);
        return {std::istreambuf_iterator<char>(file), {}};
    }

private:
    void start(std::vector<std::string> words, const std::filesystem::path& in) {
        std::vector<char*> argv;
        for (auto& word : words) argv.push_back(word.data());
        argv.push_back(nullptr);
        posix_spawn_file_actions_t actions;
        posix_spawn_file_actions_init(&actions);
        posix_spawn_file_actions_addopen(&actions, 0, "/dev/null", O_RDONLY, 0);
        posix_spawn_file_actions_addopen(&actions, 1, out_.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600);
        posix_spawn_file_actions_adddup2(&actions, 1, 2);
        posix_spawn_file_actions_addclosefrom_np(&actions, 3);
        if (!in.empty()) posix_spawn_file_actions_addchdir_np(&actions, in.c_str());
        posix_spawnattr_t attributes;
        posix_spawnattr_init(&attributes);
        posix_spawnattr_setflags(&attributes, POSIX_SPAWN_SETPGROUP);
        posix_spawnattr_setpgroup(&attributes, 0);
        const int error = ::posix_spawn(&pid_, words[0].c_str(), &actions, &attributes, argv.data(), environ);
        posix_spawn_file_actions_destroy(&actions);
        posix_spawnattr_destroy(&attributes);
        if (error != 0) throw std::runtime_error("can't start halfturn");
        ended_ = static_cast<int>(::syscall(SYS_pidfd_open, pid_, 0));
    }

    std::filesystem::path out_;
    pid_t pid_ = 0;
    int ended_ = -1, status_ = 0;
};

}  // namespace halfturn::test
