// A serial line and the USB adapter behind it: each byte takes its time, the adapter hands them on in batches.
#pragma once

#include <deque>
#include <optional>
#include <string>

#include "practice/random.hpp"

namespace halfturn::practice {

struct Batch {
    double t_s = 0;
    std::string bytes;
};

class Wire {
public:
    // `batch_s`: the adapter's latency timer; it also hands on as soon as it holds 62 bytes.
    Wire(double character_s, double batch_s, Random random);

    // The instrument starts sending at `t_s`, or when what it still sends is through.
    void send(double t_s, std::string_view bytes);
    // What a reader gets up to `t_s`, oldest first; nothing when there is none yet.
    std::optional<Batch> receive(double t_s);
    // The cable was out until now: what was under way is lost, the rest of a frame just being sent is not.
    void lose_before(double t_s);

private:
    struct Byte { double through_s; char value; };

    double character_s_, batch_s_, phase_s_;
    double wakes_s_;                     // how much later the reader gets the next batch
    double busy_until_s_ = -1e9, last_s_ = -1e9;
    std::deque<Byte> bytes_;
    Random random_;
};

}  // namespace halfturn::practice
