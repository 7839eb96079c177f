#include "practice/hand.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace halfturn::practice {
namespace {
constexpr std::array<std::string_view, 4> word_texts = {"turn", "slower", "wait", "stop"};
constexpr double ramp_s = 0.12;          // getting a spanner going
constexpr double slides_for_sure_mm = 0.05;
constexpr double entered_mm = 0.5;
constexpr double near_home_mm = 0.6;
constexpr double unloaded_N = 1.0;
constexpr double backs_off_further = 0.08;  // turns past the last pull
constexpr double led_within_N = 4, led_within_share = 0.004;
constexpr double led_N_per_turns_per_s = 2500;   // how early the hand slows down before it is there
constexpr double jerk_turns_per_s = 0.8;
constexpr double led_slowest_turns_per_s = 0.004;
}  // namespace

std::optional<Word> word_from_text(std::string_view text) {
    for (std::size_t i = 0; i < word_texts.size(); ++i)
        if (word_texts[i] == text) return static_cast<Word>(i);
    return {};
}

void Hand::begin(double t_s) {
    if (stage_ != Stage::resting) return;
    stage_ = Stage::pausing;
    until_s_ = t_s + random_.between(0.2, 0.4);
}

void Hand::hear(Word word, double t_s) { heard_.push_back({word, t_s + habit_.obeys_s * random_.between(0.9, 1.1)}); }

void Hand::hold(double t_s, std::string_view why, double for_s) {
    stage_ = Stage::holding;
    until_s_ = t_s + for_s;
    ended_by_ = why;
}

void Hand::obey(double t_s) {
    while (!heard_.empty() && heard_.front().acts_s <= t_s) {
        const Word word = heard_.front().word;
        heard_.pop_front();
        if (stage_ == Stage::resting || stage_ == Stage::led || stage_ == Stage::holding || stage_ == Stage::backing ||
            finished())
            continue;
        if (word == Word::stop) hold(t_s, "word", 1.0);
        if (word == Word::wait) stage_ = Stage::waiting;
        if (word == Word::slower) pace_ = std::max(0.25, pace_ * 0.5);
        if (word == Word::turn) pace_ = 1;
        if (stage_ == Stage::waiting && (word == Word::turn || word == Word::slower)) {
            stage_ = Stage::pausing;
            until_s_ = t_s;
        }
    }
}

void Hand::notice(double t_s, const Felt& felt) {
    if (slid_since_s_ < 0 && felt.slid_mm > slides_for_sure_mm) slid_since_s_ = t_s;
    if (!at_end_ && (felt.work_in ? felt.home : felt.clear)) {
        at_end_ = true;
        end_at_turns_ = felt.turns;
        end_at_N_ = felt.force_N;
    }
    if (felt.work_in && at_end_) {
        if (felt_home_s_ < 0 && felt.force_N >= end_at_N_ + habit_.feels_home_N) felt_home_s_ = t_s;
        const bool noticed = felt_home_s_ >= 0 && t_s >= felt_home_s_ + habit_.notices_s;
        if (habit_.stops_at_home_N > 0 ? felt.force_N >= habit_.stops_at_home_N : noticed) return hold(t_s, "done", 1.2);
    }
    if (!felt.work_in && at_end_ && felt.turns >= end_at_turns_ + habit_.turns_past_clear) {
        stage_ = Stage::finished;
        ended_by_ = "done";
        return;
    }
    const bool no_use = felt.force_N >= habit_.gives_up_N ||
                        (slid_since_s_ < 0 && felt.touching && felt.turns_past_touch >= habit_.gives_up_turns);
    if (no_use) hold(t_s, "gave-up", 1.5);
}

bool Hand::brisk(double t_s, const Felt& felt) const {
    if (slid_since_s_ < 0 || t_s < slid_since_s_ + habit_.notices_s) return false;
    if (felt.work_in) return felt.slid_mm > entered_mm && felt.slid_mm < felt.seat_mm - near_home_mm;
    return true;
}

double Hand::stroke_speed(double t_s, const Felt& felt) const {
    if (!brisk(t_s, felt)) return habit_.careful_turns_per_s;
    return felt.force_N < habit_.heavy_N ? habit_.brisk_turns_per_s : std::min(habit_.brisk_turns_per_s, habit_.wary_turns_per_s);
}

void Hand::start_stroke(double t_s, const Felt& felt) {
    const bool quick = brisk(t_s, felt);
    stage_ = Stage::stroking;
    stroke_began_s_ = t_s;
    stroke_to_ = felt.turns + (quick ? habit_.brisk_stroke : habit_.careful_stroke) * random_.between(0.85, 1.1);
    stroke_speed_ = stroke_speed(t_s, felt) * random_.between(0.88, 1.12);
}

double Hand::unsteady(double t_s) {
    if (t_s >= sway_next_s_) {
        sway_ += -0.12 * sway_ + random_.normal(0.025);
        sway_next_s_ = t_s + 0.01;
    }
    return std::clamp(1 + sway_, 0.7, 1.3);
}

void Hand::bring_to(double force_N) {
    stage_ = Stage::led;
    led_to_N_ = force_N;
    there_ = jerks_ = false;
}

void Hand::jerk_to(double force_N) {
    bring_to(force_N);
    jerks_ = true;
}

double Hand::led_turns_per_s(double t_s, const Felt& felt) {
    if (felt.force_N >= unloaded_N) unloaded_at_turns_ = felt.turns;
    const double missing_N = led_to_N_ - felt.force_N;
    if (led_to_N_ <= 0) there_ = there_ || felt.turns <= unloaded_at_turns_ - backs_off_further;
    else there_ = there_ || std::fabs(missing_N) <= std::max(led_within_N, led_within_share * led_to_N_);
    if (there_) return 0;
    if (jerks_) return missing_N > 0 ? jerk_turns_per_s : -jerk_turns_per_s;
    const double speed = std::clamp(std::fabs(missing_N) / led_N_per_turns_per_s, led_slowest_turns_per_s, habit_.careful_turns_per_s);
    const double way = led_to_N_ <= 0 ? -habit_.backs_off_turns_per_s : missing_N > 0 ? speed : -speed;
    return way * unsteady(t_s);
}

double Hand::turns_per_s(double t_s, const Felt& felt) {
    obey(t_s);
    if (stage_ == Stage::stroking || stage_ == Stage::pausing) notice(t_s, felt);
    switch (stage_) {
        case Stage::resting:
        case Stage::waiting:
        case Stage::finished: return 0;
        case Stage::pausing:
            if (t_s >= until_s_) start_stroke(t_s, felt);
            return 0;
        case Stage::holding:
            if (t_s < until_s_) return 0;
            if (felt.force_N < unloaded_N && !felt.work_in) {
                stage_ = Stage::finished;
                return 0;
            }
            stage_ = Stage::backing;
            unloaded_at_turns_ = felt.turns;
            return 0;
        case Stage::backing:
            if (felt.force_N >= unloaded_N) unloaded_at_turns_ = felt.turns;
            if (felt.turns <= unloaded_at_turns_ - backs_off_further) stage_ = Stage::finished;
            return -habit_.backs_off_turns_per_s * unsteady(t_s);
        case Stage::led: return led_turns_per_s(t_s, felt);
        case Stage::stroking: break;
    }
    // A stroke begun in better times is cut back the moment the hand feels that they are over.
    const double cruise = pace_ * std::min(stroke_speed_, 1.15 * std::max(stroke_speed(t_s, felt), habit_.careful_turns_per_s));
    const double left = stroke_to_ - felt.turns;
    if (left <= 0) {
        stage_ = Stage::pausing;
        const double pause_s = brisk(t_s, felt) ? habit_.brisk_pause_s : habit_.careful_pause_s;
        until_s_ = t_s + pause_s * random_.between(0.7, 1.5);
        return 0;
    }
    const double getting_going = std::min(1.0, 0.1 + (t_s - stroke_began_s_) / ramp_s);
    const double easing_off = std::clamp(std::sqrt(left / (cruise * ramp_s)), 0.1, 1.0);
    const double loaded = 1 / (1 + felt.force_N / habit_.weakens_N);
    return cruise * getting_going * easing_off * loaded * unsteady(t_s);
}

}  // namespace halfturn::practice
