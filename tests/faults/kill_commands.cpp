// kill -9 of the whole program at random moments, in every phase of a live job and in every command that touches the store.
// Afterwards the store opens, is whole and verifies; what was acknowledged is there; a file asked for is whole or absent; of
// a live job at most the last 100 ms are missing.
#include <algorithm>
#include <catch2/catch.hpp>
#include <functional>
#include <future>
#include <map>
#include <random>
#include <regex>

#include "files/whole_file.hpp"
#include "record/reader.hpp"
#include "record/rejudge.hpp"
#include "record/sqlite.hpp"
#include "record/verify.hpp"
#include "record/wall_clock.hpp"
#include "run_halfturn.hpp"
#include "started.hpp"

using namespace halfturn;
using namespace halfturn::record;
using namespace halfturn::test;

namespace {

using Words = std::vector<std::string>;

// Checked on several threads, which Catch's macros are not made for.
void need(bool good, const std::string& what) {
    if (!good) throw std::runtime_error(what);
}

std::string found(const std::string& text, const char* pattern) {
    std::smatch match;
    return std::regex_search(text, match, std::regex(pattern)) ? match[1].str() : std::string();
}

// What must hold of any store after any kill. Opening it for writing is what the next job does: it marks what was cut off.
Store sound_store(const std::string& path) {
    Store store = Store::open(path, Mode::write);
    for (const std::string& remark : store.remarks()) need(remark.find("was cut off") != std::string::npos, "remark: " + remark);
    Database raw(path, Mode::read);
    Statement check(raw, "PRAGMA integrity_check");
    need(check.row() && check.text(0) == "ok", "integrity_check: " + std::string(check.text(0)));
    const Verification verified = verify(store);
    need(verified.findings.empty(), verified.findings.empty() ? "" : verified.findings.front().says);
    for (const JobRow& row : list_jobs(store)) need(row.state != JobState::running, "a job is still marked as running");
    return store;
}

// The files that commands need, made once.
struct Files {
    Bench bench;
    std::string rig = bench.file("rig.toml", bench.run("example rig").out);
    std::map<std::string, std::string> job = {{"out", bench.file("out.toml", bench.run("example job").out)},
                                              {"in", bench.file("in.toml", bench.run("example job-in").out)}};
    std::string photo = bench.file("photo.jpg", "\xFF\xD8\xFF" + std::string(300'000, 'p'));
    std::string readings = bench.file("class.csv",
                                      "# capacity_N = 5000\n# resolution_N = 1\n# zero_N = 4\nseries,direction,indicated_N,reference_N\n"
                                      "1,up,1000,1004\n2,up,1000,998\n3,up,1000,1001\n");
    std::string log = HALFTURN_TESTS_DIR "/jobs/clean-straight-100hz.csv";
};

// --- live jobs -------------------------------------------------------------------------------------------------------

struct Live {
    std::map<std::string, int> phases;  // in which the jobs were cut
    std::vector<double> missing_ms;
    int cut_off = 0, too_early = 0, left_alone = 0;
};

// One lane is one store with one job after the other in it.
Live kill_live_jobs(const Files& files, int lane, int kills, double within_s) {
    struct Played { const char *scenario, *work; double takes_s; };
    static constexpr Played played[] = {{"clean", "out", 14}, {"bonded", "out", 10}, {"press-in", "in", 28}};
    const auto folder = files.bench.folder / ("lane-" + std::to_string(lane));
    std::filesystem::create_directories(folder);
    const std::string path = (folder / "bench.db").string();
    std::mt19937 random(static_cast<unsigned>(100 + lane));
    Live live;
    std::size_t known = 0;
    for (int i = 0; i < kills; ++i) {
        const Played& play = played[static_cast<unsigned>(lane + i) % std::size(played)];
        Started run({"watch", files.job.at(play.work), "--rig", files.rig, "--practice", play.scenario, "--seed",
                    std::to_string(i + 1), "--brisk", "5", "--store", path},
                   folder / "out");
        run.wait_ms(std::uniform_real_distribution(0.0, 1000 * std::min(within_s, play.takes_s))(random));
        const auto rigs = run.children();
        const std::int64_t killed_at = now_utc_ms();
        run.kill();
        // The practice rig notices that its reader has gone.
        for (const pid_t rig : rigs) {
            for (int wait = 0; wait < 400 && ::kill(rig, 0) == 0; ++wait) ::usleep(5000);
            live.left_alone += ::kill(rig, 0) == 0;
        }
        if (!std::filesystem::exists(path)) {
            ++live.too_early;
            continue;
        }
        Store store = sound_store(path);
        const auto jobs = list_jobs(store);
        const bool begun = jobs.size() > known;
        known = jobs.size();
        if (const std::string told = found(run.out(), "\nJob ([^,]+), "); !told.empty()) {
            const JobRow row = find_job(store, told);
            need(row.state == JobState::ended && read_judgements(store, row.number).size() == 1, "job " + told + " was said to be kept");
            ++live.phases["ended"];
        } else if (begun) {
            const JobRow row = jobs.front();
            std::uint64_t seq = 0;
            for_each_event(store, row.number, [&](const Event& event) { return event.seq == ++seq; });
            need(static_cast<std::int64_t>(seq) == row.events, "the events are not an unbroken run");
            ++live.cut_off;
            const auto again = judge_again(store, row);
            ++live.phases[std::string(phase_name(again.now.phase))];
            // The job's row is written just before its clock starts, so this counts too much, never too little.
            live.missing_ms.push_back(static_cast<double>(killed_at - row.started_utc_ms) - 1000 * row.length_s);
        } else {
            ++live.too_early;
        }
    }
    return live;
}

// --- short commands --------------------------------------------------------------------------------------------------

struct Command {
    std::string name;
    std::function<Words(const std::string& store, int nth)> words;
    std::function<void(Store& store, const std::string& out, const std::string& file)> after;  // what was acknowledged is there
};

std::string file_of(const std::string& store, int nth) { return store + ".out-" + std::to_string(nth); }

std::vector<Command> short_commands(const Files& files) {
    const auto entry = [](Store& store, const std::string& out, const std::string&) {
        const std::string id = found(out, "Kept as entry ([0-9]+)");
        need(id.empty() || find_entry(store, std::stoll(id)).has_value(), "entry " + id + " was said to be kept");
    };
    const auto whole_or_absent = [](const std::string& good) {
        return [good](Store&, const std::string& out, const std::string& file) {
            const bool there = std::filesystem::exists(file);
            need(there || out.find("written to") == std::string::npos, file + " was said to be written");
            need(!there || whole_file(file, std::size_t{1} << 26) == good, file + " is not whole");
        };
    };
    // What a whole export of job 1 is.
    const std::string store = (files.bench.folder / "first.db").string();
    REQUIRE(files.bench.run("judge " + files.log + " --job " HALFTURN_TESTS_DIR "/jobs/castor-out.job.toml --rig " HALFTURN_TESTS_DIR
                            "/jobs/castor.rig.toml --keep --store " + store).status == 0);
    const std::string csv = files.bench.run("export 1 --csv - --store " + store).out;
    const std::string jsonl = files.bench.run("export 1 --jsonl - --store " + store).out;
    REQUIRE(csv.size() > 10'000);
    REQUIRE(jsonl.size() > 10'000);

    return {
        {"judge",
         [&files](const std::string& s, int) -> Words {
             return {"judge", files.log, "--job", HALFTURN_TESTS_DIR "/jobs/castor-out.job.toml", "--rig",
                     HALFTURN_TESTS_DIR "/jobs/castor.rig.toml", "--keep", "--store", s};
         },
         [](Store& kept, const std::string& out, const std::string&) {
             if (const std::string id = found(out, "Kept as job ([^.]+)"); !id.empty())
                 need(read_judgements(kept, find_job(kept, id).number).size() == 1, "job " + id + " was said to be kept");
         }},
        {"rejudge",
         [](const std::string& s, int) -> Words {
             return {"rejudge", "all", "--store", s};
         },
         {}},
        {"review",
         [](const std::string& s, int) -> Words {
             return {"review", "1", "--store", s};
         },
         {}},
        {"verify",
         [](const std::string& s, int) -> Words {
             return {"verify", "--store", s};
         },
         {}},
        {"export-csv", [](const std::string& s, int n) -> Words { return {"export", "1", "--csv", file_of(s, n), "--store", s}; },
         whole_or_absent(csv)},
        {"export-jsonl",
         [](const std::string& s, int n) -> Words { return {"export", "1", "--jsonl", file_of(s, n), "--store", s}; },
         whole_or_absent(jsonl)},
        {"store-copy",
         [](const std::string& s, int n) -> Words {
             return {"export", "--store-copy", file_of(s, n), "--store", s};
         },
         [](Store& kept, const std::string& out, const std::string& file) {
             const bool there = std::filesystem::exists(file);
             need(there || out.find("written to") == std::string::npos, file + " was said to be written");
             if (!there) return;
             Store copy = Store::open(file, Mode::read);
             const Verification verified = verify(copy);
             need(verified.findings.empty() && verified.head == kept.head(), file + " is not a whole copy");
         }},
        {"calibrate",
         [&files](const std::string& s, int n) -> Words {
             return {"calibrate", "class7500",   files.readings, "--keep",   "--who",           "Ann",     "--for-rig",
                     "bench",     "--reference", "dead weights", "--serial", std::to_string(n), "--store", s};
         },
         [](Store& kept, const std::string& out, const std::string&) {
             const std::string id = found(out, "Kept as certificate (\\S+)");
             const auto all = read_certificates(kept);
             need(id.empty() || std::any_of(all.begin(), all.end(), [&](const auto& row) { return row.certificate_id == id; }),
                  "certificate " + id + " was said to be kept");
         }},
        {"inspect",
         [&files](const std::string& s, int n) -> Words {
             return {"inspect", "1",     "--who",   "Ann",       "--bore-mm", "27.998",          "--gauge", "two-point",
                     "--seen",  "clean", "--photo", files.photo, "--text",    std::to_string(n), "--store", s};
         },
         entry},
        {"note",
         [](const std::string& s, int n) -> Words {
             return {"note", "1", "note " + std::to_string(n), "--who", "Ann", "--store", s};
         },
         entry},
        {"sign-off", [](const std::string& s, int) -> Words { return {"sign-off", "1", "--who", "Ann", "--store", s}; }, entry},
        {"set-aside",
         [](const std::string& s, int) -> Words {
             return {"set-aside", "1", "wrong bearing named", "--who", "Ann", "--store", s};
         },
         entry},
    };
}

struct Short {
    std::map<std::string, int> killed, ended;
};

Short kill_short_commands(const Files& files, const std::vector<Command>& commands, int kills) {
    std::mt19937 random(11);
    std::map<std::string, double> takes_ms;
    Short result;
    std::string path;
    for (int i = 0; i < kills; ++i) {
        // A new store now and then, as each kill is followed by a look at every hash in it.
        if (i % 60 == 0) {
            path = (files.bench.folder / ("short-" + std::to_string(i) + ".db")).string();
            std::filesystem::copy_file(files.bench.folder / "first.db", path);
        }
        const Command& command = commands[static_cast<std::size_t>(i) % commands.size()];
        double& takes = takes_ms[command.name];
        if (takes == 0) {  // once undisturbed, to know how long it takes
            const std::string there = (files.bench.folder / ("timed-" + command.name + ".db")).string();
            std::filesystem::copy_file(files.bench.folder / "first.db", there);
            const std::int64_t from = now_utc_ms();
            Started whole(command.words(there, i), files.bench.folder / "timed.out");
            need(whole.wait_ms(20'000), command.name + " does not end");
            takes = static_cast<double>(now_utc_ms() - from) + 1;
            whole.kill();
            need(whole.status() == 0, command.name + ": " + whole.out());
        }
        Started run(command.words(path, i), files.bench.folder / "short.out");
        run.wait_ms(std::uniform_real_distribution(0.0, 1.2 * takes)(random));
        run.kill();
        ++(run.was_killed() ? result.killed : result.ended)[command.name];
        try {
            Store store = sound_store(path);
            if (command.after) command.after(store, run.out(), file_of(path, i));
        } catch (const std::exception& error) {
            throw std::runtime_error("kill " + std::to_string(i) + " of " + command.name + ": " + error.what());
        }
    }
    return result;
}

// --- both at once ----------------------------------------------------------------------------------------------------

void kill_everything(int live_kills, int short_kills, int lanes, double within_s) {
    const Files files;
    const auto commands = short_commands(files);
    std::vector<std::future<Live>> running;
    for (int lane = 0; lane < lanes; ++lane)
        running.push_back(std::async(std::launch::async, [&, lane] { return kill_live_jobs(files, lane, live_kills / lanes, within_s); }));
    const Short result = kill_short_commands(files, commands, short_kills);
    Live all;
    for (auto& lane : running) {
        const Live one = lane.get();
        for (const auto& [phase, times] : one.phases) all.phases[phase] += times;
        all.missing_ms.insert(all.missing_ms.end(), one.missing_ms.begin(), one.missing_ms.end());
        all.cut_off += one.cut_off;
        all.too_early += one.too_early;
        all.left_alone += one.left_alone;
    }
    std::string told = std::to_string(live_kills) + " live jobs, " + std::to_string(all.cut_off) + " cut off, " +
                       std::to_string(all.too_early) + " before they began; phases:";
    for (const auto& [phase, times] : all.phases) told += " " + phase + " " + std::to_string(times);
    int hit = 0;
    told += "; commands hit:";
    for (const auto& [name, times] : result.killed) {
        told += " " + name + " " + std::to_string(times);
        hit += times;
    }
    std::sort(all.missing_ms.begin(), all.missing_ms.end());
    REQUIRE_FALSE(all.missing_ms.empty());
    const auto middle = all.missing_ms[all.missing_ms.size() / 2], most = all.missing_ms.back();
    told += "; missing at most " + std::to_string(most) + " ms, in the middle " + std::to_string(middle);
    WARN(told);
    CHECK(all.left_alone == 0);
    CHECK(hit > short_kills / 3);
    CHECK(all.cut_off > live_kills / 3);
    // On a machine busy with other things a thread may wake late; that is not the disk, and not often.
    CHECK(middle <= 100);
    CHECK(most < 1000);
    if (live_kills < 100) return;
    for (const char* phase : {"slack", "loading", "sliding", "clear", "entering", "driving"}) {
        INFO(phase);
        CHECK(all.phases.contains(phase));
    }
}

}  // namespace

TEST_CASE("kill -9 in any phase and any command") { kill_everything(10, 36, 5, 7); }
TEST_CASE("kill -9 in any phase and any command, a thousand times", "[.long]") { kill_everything(300, 700, 6, 60); }
