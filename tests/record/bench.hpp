// What the record's tests share: a folder of their own, a set-up with awkward values, a stream of events of every kind.
#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "core/event.hpp"
#include "core/set_up.hpp"
#include "record/recorder.hpp"

namespace halfturn::test {

// A fresh folder, removed with all in it. In memory where the machine has such a file system: these tests sync a lot.
class Folder {
public:
    Folder();
    ~Folder();
    Folder(const Folder&) = delete;
    Folder& operator=(const Folder&) = delete;
    std::string file(const std::string& name = "bench.db") const { return (path_ / name).string(); }
    const std::filesystem::path& path() const { return path_; }

private:
    std::filesystem::path path_;
};

SetUp sample_set_up();

// Event number `seq` of a made-up job: 200 a second, every kind among them, bytes of all values.
Event sample_event(std::uint64_t seq);

std::string bytes_of(const std::vector<Event>& events);
std::string bytes_of(const Event& event);

// Runs any SQL on a file over a connection of its own, as somebody with another program would. Empty when it worked,
// otherwise what SQLite said.
std::string sql(const std::string& path, const std::string& text);

std::string read_all(const std::string& path);
void write_all(const std::string& path, const std::string& bytes);

// A recorder that commits every millisecond and tries again every two.
record::RecorderOptions quick();
// Whether that became true within some seconds.
bool soon(const std::function<bool()>& true_then);
// Fails unless the whole job 1..count is there, ended, and the store verifies.
void check_whole(const std::string& path, std::int64_t job, std::uint64_t count);

}  // namespace halfturn::test
