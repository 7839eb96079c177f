#include "record/store_files.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>

#include "core/failure.hpp"

namespace halfturn::record {
namespace {

std::string folder_of(const std::string& path) {
    const auto slash = path.rfind('/');
    if (slash == std::string::npos) return ".";
    return slash == 0 ? "/" : path.substr(0, slash);
}

// After this the names in the folder survive a power loss. Some file systems can't sync a folder; then it does nothing.
void sync_folder_of(const std::string& path) {
    const int fd = ::open(folder_of(path).c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd < 0) return;
    ::fsync(fd);
    ::close(fd);
}

}  // namespace

void make_folder_for(const std::string& path) {
    const std::string folder = folder_of(path);
    struct stat facts {};
    if (::stat(folder.c_str(), &facts) == 0) {
        if (S_ISDIR(facts.st_mode)) return;
        throw Failure("can't keep the store in " + folder + ": that is a file, not a folder");
    }
    if (folder != "." && folder != "/") make_folder_for(folder);
    if (::mkdir(folder.c_str(), 0700) != 0 && errno != EEXIST)
        throw Failure("can't make the folder " + folder + " for the store: " + std::strerror(errno));
    sync_folder_of(folder);
}

void make_file(const std::string& path) {
    const int fd = ::open(path.c_str(), O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
    if (fd < 0) {
        if (errno == EEXIST) return;
        throw Failure("can't make the store " + path + ": " + std::strerror(errno));
    }
    ::close(fd);
    sync_folder_of(path);
}

void need_file(const std::string& path) {
    struct stat facts {};
    if (::stat(path.c_str(), &facts) == 0) {
        if (S_ISREG(facts.st_mode)) {
            if (::faccessat(AT_FDCWD, path.c_str(), R_OK, AT_EACCESS) == 0) return;
            throw Failure("the store " + path + " can't be read: it belongs to somebody else; read it as that user, or ask for a copy "
                          "(halfturn export --store-copy FILE)");
        }
        throw BadInput(path + " is not a file: --store takes the file that `halfturn watch` recorded into");
    }
    if (errno == ENOENT || errno == ENOTDIR)
        throw BadInput("there is no store at " + path + ": nothing was recorded yet, or --store FILE names another one");
    throw Failure("can't look at the store " + path + ": " + std::strerror(errno));
}

void sync_file(const std::string& path) {
    const int fd = ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
    if (fd < 0 || ::fsync(fd) != 0) {
        const int error = errno;
        if (fd >= 0) ::close(fd);
        throw Failure("can't be sure that " + path + " is on the disk: " + std::strerror(error));
    }
    ::close(fd);
    sync_folder_of(path);
}

void remove_file(const std::string& path) {
    for (const char* companion : {"", "-wal", "-shm", "-journal"}) ::unlink((path + companion).c_str());
}

void rename_to_new(const std::string& from, const std::string& to) {
    // A link is refused where the name is taken, which a rename would not be.
    if (::link(from.c_str(), to.c_str()) != 0) {
        if (errno == EEXIST) throw BadInput(to + " exists, and is not written over; give a new name");
        // Some file systems, such as those of memory cards, know no links.
        if (file_size(to) >= 0 || ::rename(from.c_str(), to.c_str()) != 0)
            throw Failure("can't rename " + from + " to " + to + ": " + std::strerror(errno));
    }
    ::unlink(from.c_str());
    sync_folder_of(to);
}

std::int64_t file_size(const std::string& path) {
    struct stat facts {};
    return ::stat(path.c_str(), &facts) == 0 ? static_cast<std::int64_t>(facts.st_size) : -1;
}

bool can_write_folder_of(const std::string& path) {
    return ::faccessat(AT_FDCWD, folder_of(path).c_str(), W_OK, AT_EACCESS) == 0;
}

std::string rename_with_companions(const std::string& path, const std::string& to) {
    std::string name = to;
    for (int n = 2; file_size(name) >= 0; ++n) name = to + "-" + std::to_string(n);
    // The companions go first: a WAL left beside a new, empty store would be taken for its own.
    for (const char* companion : {"-wal", "-shm", "-journal", ""}) {
        if (::rename((path + companion).c_str(), (name + companion).c_str()) == 0) continue;
        if (errno == ENOENT && companion[0] != '\0') continue;
        throw Failure("can't move " + path + companion + " aside: " + std::strerror(errno));
    }
    sync_folder_of(path);
    return name;
}

}  // namespace halfturn::record
