// A stretch of time as a screen draws it: the lowest and highest value of each column of pixels.
#pragma once

#include <vector>

#include "core/event.hpp"

namespace halfturn::samples {

struct Column {
    double low = 0, high = 0;
    bool any = false;  // a sample lies in it
};

class Columns {
public:
    // `count` columns over from_ns … to_ns (to_ns > from_ns, count at least 1).
    Columns(Instant from_ns, Instant to_ns, std::size_t count)
        : from_ns_(from_ns), to_ns_(to_ns), a_ns_(static_cast<double>(count) / static_cast<double>(to_ns - from_ns)), columns_(count) {}

    void add(Instant at_ns, double low, double high) {
        if (at_ns < from_ns_ || at_ns >= to_ns_) return;
        auto place = static_cast<std::size_t>(static_cast<double>(at_ns - from_ns_) * a_ns_);
        if (place >= columns_.size()) place = columns_.size() - 1;
        Column& column = columns_[place];
        if (!column.any) column = {low, high, true};
        if (low < column.low) column.low = low;
        if (high > column.high) column.high = high;
    }
    double column_ns() const { return 1 / a_ns_; }
    const std::vector<Column>& all() const { return columns_; }

private:
    Instant from_ns_, to_ns_;
    double a_ns_;
    std::vector<Column> columns_;
};

}  // namespace halfturn::samples
