// What a short command costs beside the nearest other program on a store, and what the program weighs.
#include <sys/resource.h>

#include <boost/json.hpp>
#include <fstream>
#include <iterator>
#include <memory>
#include <stdexcept>
#include <thread>

#include "bench/bench.hpp"
#include "files/whole_file.hpp"
#include "screen/raw_client.hpp"
#include "started.hpp"

namespace halfturn::bench {
namespace {

using Words = std::vector<std::string>;
using test::Started;

const std::string kept_jobs = HALFTURN_TESTS_DIR "/jobs/";

std::string halfturn(const Words& words) {
    Started run(words, scratch_file("out"));
    if (run.end() == 1) throw std::runtime_error("halfturn " + words[0] + ": " + run.out());
    return run.out();
}

std::string file(const std::string& name, const std::string& text) {
    const std::string path = scratch_file(name);
    std::ofstream(path) << text;
    return path;
}

struct Command {
    std::string name;
    Words words;  // a program's path first
    std::vector<double> ms{};
};

// One after the other, round after round, so that whatever else the machine does falls on all of them.
void run_side_by_side(std::vector<Command>& commands, int rounds) {
    for (int round = 0; round < rounds; ++round)
        for (Command& command : commands)
            command.ms.push_back(milliseconds([&] { Started(command.words, scratch_file("out"), Started::any_program).end(); }));
}

// Instructions in user space, where the machine lets a program count them; 0 where not.
double instructions(const Words& words) {
    Words counted = {"/usr/bin/perf", "stat", "-x", ",", "-e", "instructions:u", "-o", scratch_file("perf")};
    counted.insert(counted.end(), words.begin(), words.end());
    if (::access("/usr/bin/perf", X_OK) != 0) return 0;
    Started(counted, scratch_file("out"), Started::any_program).end();
    std::ifstream in(scratch_file("perf"));
    for (std::string line; std::getline(in, line);)
        if (!line.empty() && line[0] >= '0' && line[0] <= '9') return std::stod(line);
    return 0;
}

}  // namespace

void measure_start(Figures& figures) {
    const std::string program = programs_in() + "/halfturn", store = scratch_file("bench.db");
    const std::string job = file("job.toml", halfturn({"example", "job"})), rig = file("rig.toml", halfturn({"example", "rig"})),
                      fit = file("fit.toml", halfturn({"example", "fit"}));
    for (int i = 0; i < 3; ++i)
        halfturn({"judge", kept_jobs + "clean-straight-100hz.csv", "--job", kept_jobs + "castor-out.job.toml", "--rig",
                  kept_jobs + "castor.rig.toml", "--keep", "--store", store});

    std::vector<Command> commands = {
        {"sqlite3 STORE .tables", {"/usr/bin/sqlite3", store, ".tables"}},
        {"--help", {program, "--help"}},
        {"example job", {program, "example", "job"}},
        {"tables bearing 61902", {program, "tables", "bearing", "61902"}},
        {"tables hole N7 28", {program, "tables", "hole", "N7", "28"}},
        {"fit FILE", {program, "fit", fit}},
        {"decode CAPTURE", {program, "decode", HALFTURN_TESTS_DIR "/captures/value-unit/value_unit_lines.json"}},
        {"review", {program, "review", "--store", store}},
        {"calibrate certificates", {program, "calibrate", "certificates", "--store", store}},
        {"calibrate line", {program, "calibrate", "line", file("line.csv", "x,y\n1,3.3\n2,5.6\n3,7.1\n4,9.3\n")}},
        {"note 1", {program, "note", "1", "words", "--who", "Ann", "--store", store}},
    };
    run_side_by_side(commands, 200);
    const double peer = quantile(commands[0].ms, 0.5);
    double worst = 0;
    std::string worst_is;
    const double peer_count = instructions(commands[0].words);
    double worst_count = 0;
    for (std::size_t i = 1; i + 1 < commands.size(); ++i) {
        const double ms = quantile(commands[i].ms, 0.5);
        if (ms > worst) worst = ms, worst_is = commands[i].name;
        worst_count = std::max(worst_count, instructions(commands[i].words));
    }
    figures.add({"the slowest short command, of `sqlite3 STORE .tables`", Goal::at_most, 0.8, worst / peer, "x",
                 shown(worst, "ms") + " for `" + worst_is + "`", shown(peer, "ms"),
                 "medians of 200 rounds, side by side, from start to exit; " + std::to_string(commands.size() - 2) +
                     " commands that only read"});
    if (peer_count > 0)
        figures.add({"the same in instructions", Goal::at_most, 0.8, worst_count / peer_count, "x", shown(worst_count / 1e6, "million"),
                     shown(peer_count / 1e6, "million"), "in user space; the most of any of those commands"});
    const double note = quantile(commands.back().ms, 0.5);
    figures.add({"a command that keeps something", Goal::at_most, 100, note, "ms", shown(note, "ms"), "",
                 "`note`, with its sync to the disk: what a person feels as at once"});

    Started strip({"/usr/bin/strip", "-o", scratch_file("stripped"), program}, scratch_file("out"), Started::any_program);
    strip.end();
    const double MiB = static_cast<double>(std::filesystem::file_size(scratch_file("stripped"))) / 1048576;
    figures.add({"the program's size, stripped", Goal::at_most, 10, MiB, "MiB", shown(MiB, "MiB"), "",
                 "halfturn alone; the practice rig and the paper are programs of their own"});

    Started serve({"serve", "--port", "0", "--json", "--store", store}, scratch_file("serve"));
    std::string told;
    for (int wait = 0; wait < 500 && told.find('\n') == std::string::npos; ++wait) {
        serve.wait_ms(10);
        told = serve.out();
    }
    const std::string address(boost::json::parse(told).at("address").as_string());
    const std::string host = address.substr(7, address.find('/', 7) - 7);
    const auto port = static_cast<unsigned short>(std::stoi(host.substr(host.find(':') + 1)));
    std::vector<std::unique_ptr<test::RawClient>> viewers;
    for (int i = 0; i < 8; ++i) {
        viewers.push_back(std::make_unique<test::RawClient>(port));
        viewers.back()->send("GET /live HTTP/1.1\r\nHost: " + host + "\r\nOrigin: http://" + host +
                             "\r\nUpgrade: websocket\r\nConnection: Upgrade\r\nSec-WebSocket-Version: 13\r\nSec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\n\r\n");
        if (viewers.back()->read_until("idle").find("101") == std::string::npos) throw std::runtime_error("a viewer was not let in");
    }
    for (int second = 0; second < 3; ++second) {
        serve.wait_ms(1000);
        for (auto& viewer : viewers) viewer->read_until("", 0.01);
    }
    const double idle = resident_MiB(serve.pid());
    figures.add({"`serve` at rest, with 8 viewers", Goal::at_most, 8, idle, "MiB", shown(idle, "MiB"), "",
                 "resident, shared pages of libraries counted in"});
}

}  // namespace halfturn::bench
