#include "command/output_file.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>

#include "command/command.hpp"
#include "core/failure.hpp"

namespace halfturn::command {
namespace {

[[noreturn]] void cannot_write(const std::string& path) {
    const int error = errno;
    throw Failure("can't write " + path + ": " + std::strerror(error) + (error == ENOSPC ? "; make room on that disk" : ""));
}

}  // namespace

OutputFile::OutputFile(const std::string& path) : path_(path) {
    if (path == "-") return;
    struct stat facts {};
    const bool plain = ::stat(path.c_str(), &facts) != 0 || S_ISREG(facts.st_mode);
    writing_ = plain ? path + ".part-" + std::to_string(::getpid()) : path;
    fd_ = ::open(writing_.c_str(), O_WRONLY | O_CREAT | (plain ? O_EXCL : O_TRUNC) | O_CLOEXEC, 0666);
    if (fd_ < 0 && errno == ENOSPC) cannot_write(path);
    if (fd_ < 0)
        throw BadInput("can't write " + path + ": " + std::strerror(errno) + "; name a file in a folder that is there and may be written to");
    rename_ = plain;
}

OutputFile::~OutputFile() {
    if (fd_ >= 0) ::close(fd_);
    if (fd_ >= 0 && rename_) ::unlink(writing_.c_str());
}

void OutputFile::add(std::string_view text) {
    bytes_ += text.size();
    if (path_ == "-") return print(std::string(text));
    while (!text.empty()) {
        const ssize_t wrote = ::write(fd_, text.data(), text.size());
        if (wrote < 0 && errno == EINTR) continue;
        if (wrote < 0) cannot_write(path_);
        text.remove_prefix(static_cast<std::size_t>(wrote));
    }
}

void OutputFile::finish() {
    if (path_ == "-") return;
    const bool closed = ::close(fd_) == 0;
    fd_ = -1;
    if (closed && (!rename_ || ::rename(writing_.c_str(), path_.c_str()) == 0)) return;
    const int error = errno;
    if (rename_) ::unlink(writing_.c_str());
    errno = error;
    cannot_write(path_);
}

}  // namespace halfturn::command
