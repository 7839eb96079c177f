// Judges kept jobs and prints what must be the same on every compiler: `halfturn_fingerprint FOLDER` takes each NAME.jsonl
// with its frozen set-up NAME.json and prints one line: name, call, number of warnings, fingerprint.
#include <algorithm>
#include <cstdio>
#include <exception>
#include <filesystem>
#include <string>
#include <vector>

#include "core/failure.hpp"
#include "files/set_up_json.hpp"
#include "files/whole_file.hpp"
#include "ports/log_port.hpp"
#include "watch/judge.hpp"

namespace {

namespace fs = std::filesystem;
constexpr std::size_t largest_bytes = std::size_t{1} << 28;

void judge_one(const fs::path& log) {
    using namespace halfturn;
    const fs::path frozen = fs::path(log).replace_extension(".json");
    const SetUp set_up = set_up_from_json(whole_file(frozen.string(), largest_bytes), frozen.string());
    const std::vector<Event> events = events_from_json_lines(whole_file(log.string(), largest_bytes), set_up, log.string());
    Judge judge(set_up);
    for (const Event& event : events) judge.on(event);
    const Judgement judgement = judge.judgement();
    std::printf("%s %s %zu %s\n", log.stem().c_str(), std::string(call_id(judgement.call)).c_str(), judge.warnings().size(),
                judgement.fingerprint.c_str());
}

}  // namespace

int main(int argc, char** argv) {
    try {
        if (argc != 2) throw halfturn::BadInput("give one folder with pairs of NAME.jsonl and NAME.json");
        std::vector<fs::path> logs;
        for (const auto& entry : fs::directory_iterator(argv[1]))
            if (entry.path().extension() == ".jsonl") logs.push_back(entry.path());
        std::sort(logs.begin(), logs.end());
        if (logs.empty()) throw halfturn::BadInput(std::string(argv[1]) + " holds no *.jsonl");
        for (const auto& log : logs) judge_one(log);
        return 0;
    } catch (const halfturn::BadInput& error) {
        std::fprintf(stderr, "halfturn_fingerprint: %s\n", error.what());
        return 2;
    } catch (const std::exception& error) {
        std::fprintf(stderr, "halfturn_fingerprint: %s\n", error.what());
        return 1;
    }
}
