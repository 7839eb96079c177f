// The hand on the spanner: strokes with pauses between them, a little unsteady, slower under load, and as late in
// noticing things as people are. It hears the word on the screen when there is somebody to show it.
#pragma once

#include <deque>
#include <optional>
#include <string_view>

#include "practice/random.hpp"

namespace halfturn::practice {

enum class Word : std::uint8_t { turn, slower, wait, stop };
std::optional<Word> word_from_text(std::string_view text);

struct HandHabit {
    double careful_turns_per_s = 0.12;  // until the ring moves
    double careful_stroke = 1.0 / 6;    // turns: one flat of a hexagon
    double careful_pause_s = 0.6;
    double brisk_turns_per_s = 0.6;     // once it moves
    double brisk_stroke = 1.0 / 3;
    double brisk_pause_s = 0.2;
    double notices_s = 0.45;            // until the hand acts on what it feels
    double obeys_s = 0.7;               // until it acts on a word
    double weakens_N = 6000;            // pull at which it turns at half its speed
    double heavy_N = 1200;              // a pull that makes it wary again …
    double wary_turns_per_s = 0.3;      // … and turn no faster than this
    double gives_up_N = 5600;           // a pull at which it stops by itself and backs off
    double gives_up_turns = 1.5;        // so far past contact without anything moving
    double turns_past_clear = 0.4;
    double feels_home_N = 250;          // work in: rise of the push that tells the hand it is home
    double stops_at_home_N = 0;         // drives on past home up to this push; 0: stops when it has noticed
    double backs_off_turns_per_s = 0.25;
};

// What the hand can feel and see.
struct Felt {
    double force_N = 0;
    double turns = 0;
    bool touching = false;       // the stack has touched at least once
    double turns_past_touch = 0;
    double slid_mm = 0;
    double seat_mm = 7;
    bool work_in = false;
    bool clear = false, home = false;
};

class Hand {
public:
    Hand(HandHabit habit, Random random) : habit_(habit), random_(random) {}

    void begin(double t_s);                // the hand takes the spanner
    void hear(Word word, double t_s);
    // As when calibrating: brings the pull to about this, from either side, and holds there until told otherwise. 0: until loose.
    void bring_to(double force_N);
    // The same at once, as sharply as a hand can.
    void jerk_to(double force_N);
    double turns_per_s(double t_s, const Felt& felt);

    bool finished() const { return stage_ == Stage::finished; }
    // Why it stopped: "done", "word", "gave-up"; empty while it has not.
    std::string_view ended_by() const { return ended_by_; }

private:
    enum class Stage : std::uint8_t { resting, stroking, pausing, waiting, holding, backing, finished, led };
    struct Heard { Word word; double acts_s; };

    void obey(double t_s);
    void notice(double t_s, const Felt& felt);
    bool brisk(double t_s, const Felt& felt) const;
    double stroke_speed(double t_s, const Felt& felt) const;
    void start_stroke(double t_s, const Felt& felt);
    void hold(double t_s, std::string_view why, double for_s);
    double unsteady(double t_s);
    double led_turns_per_s(double t_s, const Felt& felt);

    HandHabit habit_;
    Random random_;
    Stage stage_ = Stage::resting;
    std::string_view ended_by_;
    std::deque<Heard> heard_;
    double until_s_ = 0;               // end of a pause or a hold
    double stroke_to_ = 0, stroke_speed_ = 0, stroke_began_s_ = 0;
    double led_to_N_ = 0;
    bool jerks_ = false;
    bool there_ = false;               // holds where it was led to
    double pace_ = 1;                  // what the words leave of the speed
    double slid_since_s_ = -1, felt_home_s_ = -1;
    double end_at_turns_ = 0, end_at_N_ = 0, unloaded_at_turns_ = 0;
    bool at_end_ = false;
    double sway_ = 0, sway_next_s_ = 0;
};

}  // namespace halfturn::practice
