// halfturn-bench [SUBJECT…] [--json FILE]: measures speed and memory against their goals and prints one table.
#include <fmt/format.h>
#include <stdlib.h>

#include <algorithm>
#include <cstdio>
#include <exception>
#include <filesystem>
#include <fstream>
#include <string>
#include <string_view>
#include <vector>

#include "bench/bench.hpp"
#include "bench/frame/subjects.hpp"
#include "core/json_writer.hpp"

namespace halfturn::bench {
namespace {

std::string scratch;

struct Measured {
    std::string_view subject;
    Figures figures;
    std::string failed;  // why the subject could not be measured to its end
};

void print_table(const std::vector<Measured>& all) {
    for (const auto& [subject, figures, failed] : all) {
        fmt::print("\n{}\n", subject);
        for (const auto& figure : figures.all()) {
            fmt::print("  {:<5} {:>12}  {} {:<11} {}\n", figure.passes() ? "pass" : "SHORT", shown(figure.value, figure.unit),
                       figure.goal == Goal::at_least ? "at least" : "at most ", shown(figure.limit, figure.unit), figure.name);
            fmt::print("{:35}here {}{}{}\n", "", figure.measured, figure.peer.empty() ? "" : "; peer ", figure.peer);
            if (!figure.note.empty()) fmt::print("{:35}{}\n", "", figure.note);
        }
        if (!failed.empty()) fmt::print("  FAILED {}\n", failed);
    }
}

std::string as_json(const std::vector<Measured>& all) {
    JsonWriter json(2);
    json.array();
    for (const auto& [subject, figures, failed] : all) {
        json.object().put("subject", subject).key("figures").array();
        for (const auto& figure : figures.all()) {
            json.object().put("name", figure.name).put("goal", figure.goal == Goal::at_least ? "at least" : "at most");
            json.put("limit", figure.limit).put("value", figure.value).put("unit", figure.unit);
            json.put("measured", figure.measured).put("peer", figure.peer).put("note", figure.note);
            json.put("passes", figure.passes()).end();
        }
        json.end();
        if (!failed.empty()) json.put("failed", failed);
        json.end();
    }
    return json.end().take() + "\n";
}

int run(const std::vector<std::string>& wanted, const std::string& json_file) {
    std::vector<Measured> all;
    for (const auto& subject : subjects) {
        if (!wanted.empty() && std::find(wanted.begin(), wanted.end(), subject.name) == wanted.end()) continue;
        fmt::print(stderr, "{} …\n", subject.name);
        Measured measured{subject.name, {}, {}};
        try {
            subject.measure(measured.figures);
        } catch (const std::exception& trouble) {
            measured.failed = trouble.what();
        }
        all.push_back(std::move(measured));
    }
    print_table(all);
    int passed = 0, short_of = 0;
    for (const auto& one : all) {
        for (const auto& figure : one.figures.all()) ++(figure.passes() ? passed : short_of);
        if (!one.failed.empty()) ++short_of;
    }
    fmt::print("\n{} pass, {} short\n", passed, short_of);
    if (!json_file.empty() && !(std::ofstream(json_file) << as_json(all)).flush()) {
        fmt::print(stderr, "halfturn-bench: {} could not be written\n", json_file);
        return 1;
    }
    return short_of ? 1 : 0;
}

}  // namespace

std::string programs_in() { return HALFTURN_BUILD_DIR; }
std::string scratch_folder() { return scratch; }
std::string scratch_file(const std::string& name) { return scratch + "/" + name; }

}  // namespace halfturn::bench

int main(int count, char** words) {
    using namespace halfturn::bench;
    std::vector<std::string> wanted;
    std::string json_file;
    for (int i = 1; i < count; ++i) {
        const std::string word = words[i];
        const bool known = std::any_of(std::begin(subjects), std::end(subjects), [&](auto& s) { return s.name == word; });
        if (word == "--json" && i + 1 < count)
            json_file = words[++i];
        else if (known)
            wanted.push_back(word);
        else {
            fmt::print(stderr, "halfturn-bench: there is no subject {}; there are:", word);
            for (const auto& subject : subjects) fmt::print(stderr, " {}", subject.name);
            fmt::print(stderr, "\n");
            return 2;
        }
    }
    std::string pattern = (std::filesystem::temp_directory_path() / "halfturn-bench-XXXXXX").string();
    if (!mkdtemp(pattern.data())) {
        std::perror("halfturn-bench: no folder for throw-away files");
        return 1;
    }
    scratch = pattern;
    const int status = run(wanted, json_file);
    std::filesystem::remove_all(scratch);
    return status;
}
