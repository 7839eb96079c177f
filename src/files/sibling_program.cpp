#include "files/sibling_program.hpp"

#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>

#include "core/failure.hpp"

namespace halfturn {

namespace {

class Descriptor {
public:
    explicit Descriptor(int fd) : fd_(fd) {}
    ~Descriptor() { close(); }
    Descriptor(const Descriptor&) = delete;
    Descriptor& operator=(const Descriptor&) = delete;
    int get() const { return fd_; }
    void close() {
        if (fd_ >= 0) ::close(fd_);
        fd_ = -1;
    }

private:
    int fd_;
};

// Writes and reads at once, so that neither side waits for the other with a full pipe.
std::string talk(Descriptor& in, Descriptor& out, const std::string& input) {
    std::string output;
    std::size_t given = 0;
    if (input.empty()) in.close();
    for (;;) {
        std::array<pollfd, 2> wait{{{out.get(), POLLIN, 0}, {in.get(), POLLOUT, 0}}};
        if (::poll(wait.data(), in.get() >= 0 ? 2 : 1, -1) < 0) {
            if (errno == EINTR) continue;
            throw Failure(std::string("waiting for another program failed: ") + std::strerror(errno));
        }
        if (in.get() >= 0 && wait[1].revents != 0) {
            const ssize_t count = ::write(in.get(), input.data() + given, std::min<std::size_t>(input.size() - given, 4096));
            if (count > 0) given += static_cast<std::size_t>(count);
            if (given == input.size() || (count < 0 && errno != EINTR && errno != EAGAIN)) in.close();
        }
        if (wait[0].revents == 0) continue;
        std::array<char, 65536> block;
        const ssize_t count = ::read(out.get(), block.data(), block.size());
        if (count < 0 && errno == EINTR) continue;
        if (count <= 0) return output;
        output.append(block.data(), static_cast<std::size_t>(count));
    }
}

}  // namespace

std::string beside_this_program(const std::string& name) {
    std::array<char, 4096> path{};
    const ssize_t length = ::readlink("/proc/self/exe", path.data(), path.size() - 1);
    const std::string self(path.data(), length > 0 ? static_cast<std::size_t>(length) : 0);
    const auto slash = self.rfind('/');
    return slash == std::string::npos ? name : self.substr(0, slash + 1) + name;
}

std::string run_sibling(const std::string& name, const std::vector<std::string>& arguments, const std::string& input) {
    const std::string program = beside_this_program(name);
    if (::access(program.c_str(), X_OK) != 0)
        throw Failure("the program " + name +
                      ", which draws on paper, is not beside this one; install it there, or do without the picture");
    std::vector<std::string> words = {program};
    words.insert(words.end(), arguments.begin(), arguments.end());
    std::vector<char*> argv;
    for (auto& word : words) argv.push_back(word.data());
    argv.push_back(nullptr);

    int in[2], out[2];
    if (::pipe2(in, O_CLOEXEC) != 0) throw Failure(std::string("no pipe to ") + name + ": " + std::strerror(errno));
    Descriptor in_read(in[0]), in_write(in[1]);
    if (::pipe2(out, O_CLOEXEC) != 0) throw Failure(std::string("no pipe from ") + name + ": " + std::strerror(errno));
    Descriptor out_read(out[0]), out_write(out[1]);

    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_adddup2(&actions, in_read.get(), 0);
    posix_spawn_file_actions_adddup2(&actions, out_write.get(), 1);
    posix_spawn_file_actions_addclosefrom_np(&actions, 3);
    pid_t child = -1;
    const int error = ::posix_spawn(&child, program.c_str(), &actions, nullptr, argv.data(), environ);
    posix_spawn_file_actions_destroy(&actions);
    if (error != 0) throw Failure("can't start " + name + ": " + std::strerror(error));
    in_read.close();
    out_write.close();

    // A program that ends early must not end this one.
    sigset_t pipe_broken, before;
    sigemptyset(&pipe_broken);
    sigaddset(&pipe_broken, SIGPIPE);
    ::pthread_sigmask(SIG_BLOCK, &pipe_broken, &before);
    std::string output = talk(in_write, out_read, input);
    const timespec now{};
    while (::sigtimedwait(&pipe_broken, nullptr, &now) > 0) {}
    ::pthread_sigmask(SIG_SETMASK, &before, nullptr);

    int status = 0;
    while (::waitpid(child, &status, 0) < 0 && errno == EINTR) {}
    if (!WIFEXITED(status) || WEXITSTATUS(status) != 0) throw Failure(name + " could not do its work; what it said stands above");
    return output;
}

}  // namespace halfturn
