// What it costs to judge and keep a table from another logger, and to write one again, beside the sqlite3 shell.
#include <fmt/format.h>

#include <cmath>
#include <cstdlib>
#include <fstream>
#include <random>
#include <stdexcept>

#include "bench/bench.hpp"
#include "core/decimal.hpp"
#include "core/sha256.hpp"
#include "record/store.hpp"

namespace halfturn::bench {
namespace {

using namespace record;

constexpr double noise_steps = 4;  // of the force, in tenths of a newton

void shell(const std::string& command) {
    if (std::system(command.c_str()) != 0) throw std::runtime_error("did not work: " + command);
}

std::string text_of(const std::string& path) {
    std::ifstream file(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(file), {}};
}

// What it takes to hash the events of a store's only job.
double hashing_ms(const std::string& path) {
    Store store = Store::open(path, Mode::read);
    std::vector<std::string> blocks;
    Statement find(store.database(), "SELECT events FROM event_blocks");
    while (find.row()) blocks.emplace_back(find.blob(0));
    return milliseconds([&] {
        for (const std::string& block : blocks) keep(sha256(block));
    });
}

}  // namespace

void measure_tables(Figures& figures) {
    constexpr int rows = 300'000;
    const std::string halfturn = programs_in() + "/halfturn", store = scratch_file("table.db"), peer = scratch_file("peer.db");
    const std::string csv = scratch_file("log.csv"), back = scratch_file("back.csv"), peer_back = scratch_file("peer-back.csv");
    {
        std::ofstream out(csv, std::ios::binary);
        out << "t_s,force_N,turns\r\n";
        std::mt19937_64 random(3);
        std::normal_distribution<double> noise(0, noise_steps);
        for (int i = 0; i < rows; ++i)
            out << to_text(normalised(i, -3)) << ',' << to_text(normalised(std::llround(20 + noise(random)), -1)) << ','
                << to_text(normalised(i / 3000, -3)) << "\r\n";
    }
    shell(halfturn + " example job > " + scratch_file("job.toml") + " && " + halfturn + " example rig > " +
          scratch_file("rig.toml"));
    const auto judge_ms = [&](const std::string& log, const std::string& options) {
        // The call decides the exit status; what counts here is that it was judged.
        return milliseconds([&] {
            keep(std::system((halfturn + " judge " + log + " --job " + scratch_file("job.toml") + " --rig " +
                              scratch_file("rig.toml") + options + " > /dev/null")
                                 .c_str()));
        });
    };
    shell("head -n 3 " + csv + " > " + scratch_file("short.csv"));
    const double fixed_ms = judge_ms(scratch_file("short.csv"), ""), judged_ms = judge_ms(csv, "");
    const double import_ms = judge_ms(csv, " --keep --store " + store);
    const double hash_ms = hashing_ms(store);
    const double peer_import_ms = milliseconds([&] { shell("sqlite3 " + peer + " '.import --csv " + csv + " log'"); });
    const auto export_from = [&](const std::string& from) {
        return milliseconds([&] { shell(halfturn + " export 1 --csv " + back + " --store " + from + " > /dev/null"); });
    };
    judge_ms(scratch_file("short.csv"), " --keep --store " + scratch_file("short.db"));
    const double opened_ms = export_from(scratch_file("short.db")), export_ms = export_from(store);
    const double peer_export_ms =
        milliseconds([&] { shell("sqlite3 -csv -header " + peer + " 'SELECT * FROM log' > " + peer_back); });
    figures.add({"a table of 300000 rows judged and kept, of sqlite3 .import", Goal::at_least, 15, peer_import_ms / import_ms,
                 "x", shown(import_ms, "ms"), shown(peer_import_ms, "ms"),
                 fmt::format("the peer keeps text; of ours start and expected force {:.0f} ms, reading, framing, decoding and "
                             "judging {:.0f} ms, the rest is keeping "
                             "the raw rows and compact samples, for the most part beside them; hashing alone {:.0f} ms",
                             fixed_ms, judged_ms - fixed_ms, hash_ms)});
    figures.add({"a job exported as a table, of sqlite3 -csv", Goal::at_least, 7, peer_export_ms / export_ms, "x",
                 shown(export_ms, "ms"), shown(peer_export_ms, "ms"),
                 fmt::format("of it {:.0f} ms for a job of two rows: start, store and file", opened_ms)});
    figures.add({"rows that come back as they went in", Goal::at_least, 100, text_of(back) == text_of(csv) ? 100.0 : 0.0, "%", "",
                 "", "the exported file against the imported one, byte for byte"});
}

}  // namespace halfturn::bench
