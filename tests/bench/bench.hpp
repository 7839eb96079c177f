// The frame of tools/bench: a subject measures some figures beside their peers, in one run, and says each one's goal.
// tests/bench/<subject>.cpp is one subject and defines `void measure_<subject>(Figures&)`; CMake lists the files by itself.
#pragma once

#include <sys/types.h>

#include <chrono>
#include <string>
#include <string_view>
#include <vector>

namespace halfturn::bench {

enum class Goal { at_least, at_most };

// One line of the table. Most are ratios against a peer measured in the same run, so that the machine drops out.
struct Figure {
    std::string name;      // what is compared: "a band's time, against a million sorted normal draws"
    Goal goal;
    double limit;          // in `unit`
    double value;          // in `unit`; not a number counts as short
    std::string unit;      // "x" for a ratio, or "ms", "B/sample", "%", "MiB"
    std::string measured;  // what was measured, with its unit: "8.4 ms"
    std::string peer;      // the same for the peer; empty where there is none
    std::string note;      // one sentence: how it was measured, or why it is short

    bool passes() const { return goal == Goal::at_least ? value >= limit : value <= limit; }
};

class Figures {
public:
    void add(Figure figure);
    const std::vector<Figure>& all() const { return all_; }

private:
    std::vector<Figure> all_;
};

// How long the work took, in milliseconds of the steady clock.
template <typename Work>
double milliseconds(Work&& work) {
    const auto start = std::chrono::steady_clock::now();
    work();
    return std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - start).count();
}

// Processor time of this process so far, user and system, in milliseconds.
double processor_ms();

// Resident memory of a process, in MiB; not a number when it has gone.
double resident_MiB(pid_t process);

// The p-quantile (0 to 1) by nearest rank. At least one value.
double quantile(std::vector<double> values, double p);

// Keeps the optimiser from leaving out work whose result nobody reads.
template <typename T>
void keep(const T& value) {
    asm volatile("" : : "r,m"(value) : "memory");
}

// "8.41 ms", "0.27 x": three significant digits and the unit.
std::string shown(double value, std::string_view unit);

// The folder of the programs under test (halfturn, halfturn-practice), and one for throw-away files, removed at the end.
std::string programs_in();
std::string scratch_folder();
std::string scratch_file(const std::string& name);  // its path there

}  // namespace halfturn::bench
