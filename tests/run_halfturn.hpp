// Runs the built halfturn as a caller would: arguments in, both streams and the exit status out, files in a folder that
// goes away with the bench.
//   const Bench bench;  const Ran ran = bench.run("tables hole N7 28 --json");  ran.json().at("lower_um")
#pragma once

#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <boost/json.hpp>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <stdexcept>
#include <string>

namespace halfturn::test {

struct Ran {
    int status = -1;
    std::string out;  // both streams
    boost::json::value json() const { return boost::json::parse(out); }
};

struct Bench {
    std::filesystem::path folder =
        std::filesystem::temp_directory_path() / ("halfturn_test_" + std::to_string(::getpid()));
    Bench() { std::filesystem::create_directories(folder); }
    ~Bench() { std::filesystem::remove_all(folder); }
    Bench(const Bench&) = delete;
    Bench& operator=(const Bench&) = delete;

    std::string file(const std::string& name, const std::string& text) const {
        std::ofstream(folder / name) << text;
        return (folder / name).string();
    }

    Ran run(const std::string& arguments) const {
        Ran ran;
        FILE* pipe = ::popen(("'" HALFTURN_BUILD_DIR "/halfturn' " + arguments + " 2>&1").c_str(), "r");
        if (!pipe) throw std::runtime_error("can't start halfturn");
        std::array<char, 4096> block{};
        for (std::size_t got; (got = std::fread(block.data(), 1, block.size(), pipe)) > 0;)
            ran.out.append(block.data(), got);
        const int status = ::pclose(pipe);
        ran.status = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
        return ran;
    }
};

inline double number(const boost::json::value& value) { return value.to_number<double>(); }

}  // namespace halfturn::test
