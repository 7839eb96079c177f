// The commented files that `halfturn example KIND` prints to start from, and that practice jobs use when none are given.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace halfturn::command {

struct Example {
    std::string_view kind, what, text;
};

const std::vector<Example>& examples();
const Example* find_example(std::string_view kind);

}  // namespace halfturn::command
