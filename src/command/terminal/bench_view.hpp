// The bench in a terminal: the word for the hand, sixths of a turn, force beside band and limit, the next thing to do.
// Readable at a metre in 80x24, without colour; in a pipe, one line whenever something changes.
#pragma once

#include <string>
#include <vector>

#include "core/set_up.hpp"
#include "watch/judge.hpp"

namespace halfturn::command {

// The whole screen as lines, at most `rows` of them and `columns` wide. Pure.
std::vector<std::string> bench_lines(const Snapshot& now, const SetUp& set_up, const std::vector<Warning>& warnings,
                                     std::size_t columns, std::size_t rows, const std::string& keys);

// One line for a pipe: "12.3 s  turn    loading  0.08 turn  412 N".
std::string bench_line(const Snapshot& now);

}  // namespace halfturn::command
