// Damaged stores: a kept store with bytes overwritten, pages copied over others, cut off or with a damaged log beside it.
// Whatever was done, reading ends with rows, a Failure or BadInput; what is moved aside is moved whole; and a store in which
// verify finds nothing still gives every job its events.
// Input: pieces of five bytes and more: what (u8), where (u24, as far as the file reaches), count (u8), then what to write.
#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>

#include "core/failure.hpp"
#include "fuzz/frame/fuzz.hpp"
#include "record/export.hpp"
#include "record/rejudge.hpp"
#include "record/verify.hpp"

namespace halfturn::fuzz {
namespace {

namespace fs = std::filesystem;
using namespace record;

constexpr std::size_t page_bytes = 4096;

std::string read_all(const fs::path& path) {
    std::ifstream file(path, std::ios::binary);
    return std::string(std::istreambuf_iterator<char>(file), {});
}
void write_all(const fs::path& path, std::string_view bytes) {
    std::ofstream(path, std::ios::binary | std::ios::trunc).write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
}

struct Folder {
    fs::path path;
    Folder() {
        const fs::path memory = "/dev/shm";
        path = (fs::is_directory(memory) ? memory : fs::temp_directory_path()) / ("halfturn-stores-" + std::to_string(::getpid()));
    }
    ~Folder() {
        std::error_code ignored;
        fs::remove_all(path, ignored);
    }
    void clear() const {
        fs::remove_all(path);
        fs::create_directories(path);
    }
};

std::string events_of(Store& store, const JobRow& job) {
    std::string bytes;
    for_each_event(store, job.number, [&](const Event& event) {
        append_event_bytes(event, bytes);
        return true;
    });
    return bytes;
}

// The store as it was kept: its bytes, its head, and its only job's events.
struct Kept {
    std::string bytes, head, events;
    explicit Kept(const Folder& folder) : bytes(read_all(HALFTURN_TESTS_DIR "/fuzz/base/store.db")) {
        folder.clear();
        const std::string path = (folder.path / "kept.db").string();
        write_all(path, bytes);
        Store store = Store::open(path, Mode::read);
        head = store.head();
        events = events_of(store, list_jobs(store).at(0));
    }
};

void damage(std::string_view how, std::string& store, std::string& wal) {
    while (how.size() >= 5) {
        const auto number = [&](std::size_t i) { return static_cast<std::size_t>(static_cast<unsigned char>(how[i])); };
        const std::size_t what = number(0) % 5, where = number(1) << 16 | number(2) << 8 | number(3), count = number(4);
        how.remove_prefix(5);
        const std::string_view bytes = how.substr(0, what == 0 || what == 4 ? count % 65 : 0);
        how.remove_prefix(bytes.size());
        if (what == 4) {
            wal.append(bytes);
            continue;
        }
        if (store.empty()) continue;
        const std::size_t at = where % store.size(), pages = std::max<std::size_t>(store.size() / page_bytes, 1);
        if (what == 0) store.replace(at, std::min(bytes.size(), store.size() - at), bytes.substr(0, store.size() - at));
        if (what == 1) store.resize(at);
        if (what == 2) store.replace(at / page_bytes * page_bytes, page_bytes, std::string(store, count % pages * page_bytes, page_bytes));
        if (what == 3) std::fill_n(store.begin() + static_cast<std::ptrdiff_t>(at), std::min(count, store.size() - at), '\0');
    }
}

// Everything a reader may ask for. Part by part: one that can't be read does not keep the others from being tried.
void read_everything(Store& store) {
    std::vector<JobRow> jobs;
    const auto part = [](auto&& look) {
        try {
            look();
        } catch (const BadInput&) {
        } catch (const Failure&) {
        }
    };
    part([&] { jobs = list_jobs(store); });
    part([&] { read_certificates(store); });
    part([&] { read_entries_of_seat(store, "wheel", "left"); });
    for (const JobRow& job : jobs) {
        part([&] { find_job(store, job.job_id); });
        part([&] { judge_again(store, job); });
        part([&] { read_judgements(store, job.number); });
        part([&] { read_entries(store, job.number); });
        part([&] { export_event_log(store, job, [](std::string_view) {}); });
        part([&] { export_samples_csv(store, job, [](std::string_view) {}); });
    }
}

void go_on(const std::string& path, const std::string& damaged, bool was_sound) {
    Store store = Store::open(path, Mode::write);
    for (const auto& entry : fs::directory_iterator(fs::path(path).parent_path()))
        if (const std::string name = entry.path().filename().string(); name.find(".damaged-") != std::string::npos &&
                                                                       !name.ends_with("-wal") && !name.ends_with("-shm") &&
                                                                       read_all(entry.path()) != damaged)
            broken("a damaged store was moved aside, but not as it was");
    if (store.read_only()) return;
    SetUp set_up;
    set_up.rig = "fuzz";
    OpenJob job = store.begin_job(set_up, Origin::live);
    std::string block;
    append_event_bytes({1, 0, OperatorDid{Act::begin, {}}}, block);
    store.add_block(job, block);
    store.end_job(job, "end", {});
    if (was_sound)
        for (const Finding& finding : verify(store).findings)
            broken("a sound store went on and then: " + finding.table + " " + finding.says);
}

}  // namespace

void try_stores(std::string_view bytes) {
    static const Folder folder;
    static const Kept kept(folder);
    std::string store_bytes = kept.bytes, wal;
    damage(bytes, store_bytes, wal);
    folder.clear();
    const std::string path = (folder.path / "bench.db").string();
    write_all(path, store_bytes);
    if (!wal.empty()) write_all(path + "-wal", wal);
    bool sound = false;
    try {
        Store store = Store::open(path, Mode::read);
        const Verification found = verify(store);
        sound = found.findings.empty();
        if (sound && found.head == kept.head) {
            const auto jobs = list_jobs(store);
            if (jobs.size() != 1 || events_of(store, jobs[0]) != kept.events)
                broken("verify found nothing, and the job's events are others");
        }
        read_everything(store);
    } catch (const BadInput&) {
    } catch (const Failure&) {
    }
    try {
        go_on(path, store_bytes, sound);
    } catch (const BadInput&) {
    } catch (const Failure&) {
    }
}

}  // namespace halfturn::fuzz
