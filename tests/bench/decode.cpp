// What it costs to read lines strictly: bytes in, items out, through the framer and a format's decoder, beside the least that
// any reader of lines does (memchr) and the usual way to read a number and a word (std::istringstream).
#include <cstring>
#include <random>
#include <sstream>
#include <stdexcept>
#include <string>

#include <fmt/format.h>

#include "bench/bench.hpp"
#include "core/framer.hpp"

namespace halfturn::bench {
namespace {

constexpr int line_count = 50'000, rounds = 30;  // the fastest counts: what a busy machine adds is nobody's own
constexpr std::size_t one_read_bytes = 4096;

// PrintedLines as an instrument prints them while a screw is turned, and the sum of their figures, which every reader must find.
struct PrintedLines {
    std::string_view format;
    std::string text;
    std::int64_t hundredths = 0;  // sum of the values x 100
};

// A caliper at 0.01 mm: 0 to 40 mm and back below zero, with the last figure unsteady.
PrintedLines caliper_lines() {
    PrintedLines lines{"value-unit", {}, 0};
    std::mt19937 gen(1);
    for (int i = 0; i < line_count; ++i) {
        const int hundredths = i * 4200 / line_count - 200 + std::uniform_int_distribution<int>(-1, 1)(gen);
        lines.hundredths += hundredths;
        lines.text += fmt::format("{}{}.{:02d} mm\r\n", hundredths < 0 ? "-" : "", std::abs(hundredths) / 100, std::abs(hundredths) % 100);
    }
    return lines;
}

// A force indicator at 0.1 N, rising to 4 kN, with a newton of noise.
PrintedLines indicator_lines() {
    PrintedLines lines{"hdr-comma", {}, 0};
    std::mt19937 gen(2);
    for (int i = 0; i < line_count; ++i) {
        const int tenths = i * 40000 / line_count + static_cast<int>(std::normal_distribution<>(0, 10)(gen));
        lines.hundredths += tenths * 10;
        lines.text += fmt::format("ST,GS,{}{:05d}.{} N\r\n", tenths < 0 ? "-" : "+", std::abs(tenths) / 10, std::abs(tenths) % 10);
    }
    return lines;
}

// A turn counter of 1200 counts a turn, every count up and sometimes one back.
PrintedLines counter_lines() {
    PrintedLines lines{"value-text", {}, 0};
    std::mt19937 gen(3);
    int counts = 0;
    for (int i = 0; i < line_count; ++i) {
        counts += std::uniform_int_distribution<int>(-1, 3)(gen);
        lines.hundredths += 100 * counts;
        lines.text += fmt::format("{}\r\n", counts);
    }
    return lines;
}

std::int64_t hundredths_of(const Decimal& value) {
    std::int64_t whole = value.digits;
    for (int e = value.exponent; e > -2; --e) whole *= 10;
    return whole;
}

// Every line framed, decoded and its value taken; in pieces as reads of a port give them.
double strict_ms(const PrintedLines& lines) {
    std::int64_t sum = 0, readings = 0;
    const double took = milliseconds([&] {
        Framer framer(*find_format(lines.format), {}, Start::boundary);
        const Framer::Sink sink = [&](const Item& item, std::size_t) {
            if (const auto* reading = std::get_if<Reading>(&item)) {
                ++readings;
                sum += hundredths_of(reading->value);
            }
        };
        for (std::string_view rest = lines.text; !rest.empty(); rest.remove_prefix(std::min(rest.size(), one_read_bytes)))
            framer.feed(rest.substr(0, one_read_bytes), sink);
        framer.end(sink);
    });
    if (readings != line_count || sum != lines.hundredths)
        throw std::runtime_error(std::string(lines.format) + ": not every line was read right");
    return took;
}

double memchr_ms(const PrintedLines& lines) {
    std::size_t bytes = 0;
    int found = 0;
    const double took = milliseconds([&] {
        const char* at = lines.text.data();
        const char* const end = at + lines.text.size();
        while (const void* line_end = std::memchr(at, '\n', static_cast<std::size_t>(end - at))) {
            const char* next = static_cast<const char*>(line_end) + 1;
            bytes += static_cast<std::size_t>(next - at);
            at = next;
            ++found;
        }
    });
    keep(bytes);
    if (found != line_count) throw std::runtime_error("not every line was found");
    return took;
}

// As many programs do it: each line into a stream, then a number and, where there is one, a word. It checks nothing.
double stream_ms(const PrintedLines& lines) {
    double sum = 0;
    const double took = milliseconds([&] {
        std::istringstream all(lines.text);
        std::string line, word;
        while (std::getline(all, line)) {
            std::istringstream one(line);
            double value = 0;
            if (lines.format == "hdr-comma") one.ignore(6);
            one >> value >> word;
            sum += value;
        }
    });
    if (std::abs(sum * 100 - static_cast<double>(lines.hundredths)) > 1) throw std::runtime_error("the stream read other numbers");
    return took;
}

void measure_lines(Figures& figures, const PrintedLines& lines) {
    std::vector<double> strict, by_memchr, by_stream;
    for (int round = 0; round < rounds; ++round) {  // in turns, so that whatever else the machine does falls on all
        by_memchr.push_back(memchr_ms(lines));
        strict.push_back(strict_ms(lines));
        if (round % 3 == 0) by_stream.push_back(stream_ms(lines));
    }
    const double ours = quantile(strict, 0), peer = quantile(by_memchr, 0), stream = quantile(by_stream, 0);
    const auto a_line = [](double ms) { return shown(1e6 * ms / line_count, "ns a line"); };
    const std::string name(lines.format);
    figures.add({name + ": strict reading, of memchr from line to line", Goal::at_least, 0.45, peer / ours, "x", a_line(ours), a_line(peer),
                 shown(static_cast<double>(lines.text.size()) / line_count, "bytes a line")});
    figures.add({name + ": strict reading, of std::istringstream", Goal::at_least, 25, stream / ours, "x", a_line(ours),
                 a_line(stream), ""});
}

}  // namespace

void measure_decode(Figures& figures) {
    measure_lines(figures, caliper_lines());
    measure_lines(figures, indicator_lines());
    measure_lines(figures, counter_lines());
}

}  // namespace halfturn::bench
