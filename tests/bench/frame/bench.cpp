#include "bench/bench.hpp"

#include <fmt/format.h>
#include <sys/resource.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <fstream>

namespace halfturn::bench {

void Figures::add(Figure figure) {
    // At once, as a whole run takes minutes.
    fmt::print(stderr, "  {:<5} {:>10}  {}\n", figure.passes() ? "pass" : "SHORT", shown(figure.value, figure.unit),
               figure.name);
    all_.push_back(std::move(figure));
}

double processor_ms() {
    rusage used{};
    getrusage(RUSAGE_SELF, &used);
    const auto ms = [](const timeval& t) { return 1e3 * static_cast<double>(t.tv_sec) + 1e-3 * static_cast<double>(t.tv_usec); };
    return ms(used.ru_utime) + ms(used.ru_stime);
}

double resident_MiB(pid_t process) {
    std::ifstream in("/proc/" + std::to_string(process) + "/status");
    for (std::string word; in >> word;)
        if (word == "VmRSS:") {
            double kiB = 0;
            in >> kiB;
            return kiB / 1024;
        }
    return NAN;
}

double quantile(std::vector<double> values, double p) {
    std::sort(values.begin(), values.end());
    const auto rank = std::ceil(p * static_cast<double>(values.size())) - 1;
    return values[static_cast<std::size_t>(std::clamp(rank, 0.0, static_cast<double>(values.size() - 1)))];
}

std::string shown(double value, std::string_view unit) {
    if (!std::isfinite(value)) return "not measured";
    const double size = std::abs(value);
    const int decimals = size >= 100 ? 0 : size >= 10 ? 1 : size >= 1 ? 2 : size >= 0.1 ? 3 : 4;
    return fmt::format("{:.{}f} {}", value, decimals, unit);
}

}  // namespace halfturn::bench
