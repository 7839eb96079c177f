#include "command/growing_file.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>

#include "core/failure.hpp"

namespace halfturn::command {

GrowingFile::GrowingFile(const std::string& path)
    : path_(path), file_(::open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_APPEND | O_CLOEXEC, 0644)) {
    if (file_) return;
    if (errno == EEXIST)
        throw BadInput(path +
                       ": is there already, and readings are never written over; give another name to --out");
    throw BadInput(path + ": can't be made (" + std::strerror(errno) + "); check the folder and its rights");
}

void GrowingFile::line(const std::string& text) {
    const std::string whole = text + "\n";
    const bool written =
        ::write(file_.get(), whole.data(), whole.size()) == static_cast<ssize_t>(whole.size());
    if (!written || ::fsync(file_.get()) != 0)
        throw Failure(path_ + ": can't be written (" + std::strerror(errno) + "); the disk may be full");
}

}  // namespace halfturn::command
