// halfturn-practice: behaves like the instruments on a press while a hand turns its screw, in real time over
// pseudo-terminals or in virtual time into a log.
#include <CLI/CLI.hpp>
#include <algorithm>
#include <cerrno>
#include <csignal>
#include <cstdio>
#include <cstring>
#include <exception>

#include "core/failure.hpp"
#include "core/json_writer.hpp"
#include "core/number_text.hpp"
#include "practice/live.hpp"
#include "practice/log_writer.hpp"

namespace halfturn::practice {
namespace {

struct CommandLine {
    std::string scenario, out_file, truth_file;
    std::int64_t seed = 1;
    std::vector<std::string> ports, words;
    Wishes wishes;
    bool json = false;
};

void write_file(const std::string& path, const std::string& text) {
    std::FILE* file = std::fopen(path.c_str(), "wb");
    if (!file) throw BadInput("can't write to " + path + ": " + std::strerror(errno) + "; check the folder and its rights");
    const bool written = std::fwrite(text.data(), 1, text.size(), file) == text.size();
    if (std::fclose(file) != 0 || !written) throw Failure("can't write to " + path + ": the disk may be full");
}

void print(const std::string& text) {
    if (std::fwrite(text.data(), 1, text.size(), stdout) != text.size() || std::fflush(stdout) != 0)
        throw Failure("can't write to standard output: the disk behind it may be full, or its reader has gone");
}

Bench make_bench(const CommandLine& given) {
    std::vector<PortWish> ports;
    for (const auto& text : given.ports) ports.push_back(read_port_wish(text));
    if (ports.empty()) ports = usual_ports();
    return Bench(make_scenario(find_scenario(given.scenario), static_cast<std::uint64_t>(given.seed), given.wishes), ports);
}

// "12.5=stop": the word the hand is shown at that time.
std::pair<double, Word> read_timed_word(const std::string& text) {
    const std::size_t equals = text.find('=');
    const auto t_s = parse_number(std::string_view(text).substr(0, equals));
    const auto word = equals == std::string::npos ? std::nullopt : word_from_text(std::string_view(text).substr(equals + 1));
    if (!t_s || !word)
        throw BadInput("--word " + text +
                       " can't be read; write SECONDS=WORD, such as 12.5=stop, with turn, slower, wait or stop");
    return {*t_s, *word};
}

void do_log(const CommandLine& given) {
    Bench bench = make_bench(given);
    LogWish wish;
    for (const auto& text : given.words) wish.words.push_back(read_timed_word(text));
    std::sort(wish.words.begin(), wish.words.end());
    const std::string log = run_to_log(bench, wish);
    if (given.out_file.empty()) print(log);
    else write_file(given.out_file, log);
    if (!given.truth_file.empty()) write_file(given.truth_file, bench.truth_json());
}

void do_run(const CommandLine& given) {
    Bench bench = make_bench(given);
    run_live(bench);
    if (!given.truth_file.empty()) write_file(given.truth_file, bench.truth_json());
}

void do_list(const CommandLine& given) {
    JsonWriter json(2);
    json.array();
    std::string text;
    for (const auto& kind : scenario_kinds()) {
        text += std::string(kind.name) + std::string(17 - kind.name.size(), ' ') + std::string(kind.what) + "\n";
        json.object().put("name", kind.name).put("what", kind.what).put("work", work_name(kind.work)).key("calls").array();
        for (const auto call : kind.calls) json.text(call);
        json.end().end();
    }
    print(given.json ? json.end().take() + "\n" : text);
}

void add_common(CLI::App& command, CommandLine& given) {
    Wishes& w = given.wishes;
    command.add_option("scenario", given.scenario, "name of the practice job; see `halfturn-practice list`")->required();
    command.add_option("--seed", given.seed, "draws the values of the job")->check(CLI::Range(std::int64_t{0}, INT64_MAX));
    command.add_option("--port", given.ports,
                       "NAME=FORMAT:MEASURE[,key=value...], once per instrument; without any: a force indicator, a caliper "
                       "and a turn counter");
    command.add_option("--truth", given.truth_file, "write what really happened to this file");
    command.add_option("--grip-N", w.grip_N, "normal force between ring and seat")->check(CLI::Range(0.0, 1e6));
    command.add_option("--friction", w.friction, "coefficient before the ring moves")->check(CLI::Range(0.001, 1.0));
    command.add_option("--stiffness-N-per-mm", w.stiffness_N_per_mm, "of screw, frame and drift")->check(CLI::Range(100.0, 1e6));
    command.add_option("--pitch-mm", w.pitch_mm, "of the screw")->check(CLI::Range(0.1, 20.0));
    command.add_option("--slack-mm", w.slack_mm, "screw travel until the stack touches")->check(CLI::Range(0.0, 100.0));
    command.add_option("--seat-length-mm", w.seat_length_mm, "contact length of the seat")->check(CLI::Range(1.0, 100.0));
    command.add_option("--hand", w.hand_turns_per_s, "turns per second in a careful stroke")->check(CLI::Range(0.005, 5.0));
    command.add_option("--brisk", w.brisk, "factor on the hand's speed once the ring moves")->check(CLI::Range(0.05, 5.0));
}

int run(int argc, char** argv) {
    CLI::App app{"halfturn-practice: the instruments of a press, and a hand that turns its screw, for practice and tests.",
                 "halfturn-practice"};
    app.set_version_flag("--version", "halfturn-practice " HALFTURN_VERSION);
    app.require_subcommand(1);
    CommandLine given;
    app.footer(
        "Formats and their options for --port (all know rate_hz, noise, lag_s, starts_at, sign, baud, batch_ms):\n"
        "  hdr-comma   force         unit=N|kN|kg|lb resolution capacity_N decimal=point|comma mode=stream|poll gain\n"
        "  counts-csv  force, turns  fields=us,raw (us, ms, value, unit, raw) gain offset started_s\n"
        "  value-unit  screw-travel, ring-travel   unit=mm|in resolution\n"
        "  sign-cr     screw-travel, ring-travel   unit=mm|in resolution mode=poll|stream\n"
        "  axis-semi   turns         counts_per_turn smooth axis=X|Y|Z|W\n"
        "feels_stray=0 (force): a reference cell, which loads beside its axis do not disturb.\n"
        "gain is N (or turns) per count, offset the count at nothing, starts_at the reading at the start.");
    auto* log = app.add_subcommand("log", "write a job as a log of JSON lines, without waiting");
    add_common(*log, given);
    log->add_option("--out", given.out_file, "file to write; standard output without it");
    log->add_option("--word", given.words, "SECONDS=WORD: shown to the hand at that time (turn, slower, wait, stop)");
    log->callback([&] { do_log(given); });
    auto* live = app.add_subcommand("run", "run a job in real time over pseudo-terminals; reads go, word …, to …, jerk …, stray …, quit");
    add_common(*live, given);
    live->callback([&] { do_run(given); });
    auto* list = app.add_subcommand("list", "name the practice jobs");
    list->add_flag("--json", given.json, "as JSON, with the calls a sound judge may come to");
    list->callback([&] { do_list(given); });
    try {
        app.parse(argc, argv);
        return 0;
    } catch (const CLI::ParseError& error) {
        return app.exit(error) == 0 ? 0 : 2;
    }
}

}  // namespace
}  // namespace halfturn::practice

int main(int argc, char** argv) {
    using namespace halfturn;
    std::signal(SIGPIPE, SIG_IGN);
    try {
        return practice::run(argc, argv);
    } catch (const BadInput& error) {
        std::fprintf(stderr, "halfturn-practice: %s\n", error.what());
        return 2;
    } catch (const std::exception& error) {
        std::fprintf(stderr, "halfturn-practice: %s\n", error.what());
        return 1;
    }
}
