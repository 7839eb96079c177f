#include "watch/verdict.hpp"

#include <array>

#include "watch/rule.hpp"

namespace halfturn {
namespace {

constexpr std::array<std::string_view, 4> call_ids = {"nothing-unusual", "look-closer", "cant-tell", "stop-and-inspect"};
constexpr std::array<std::string_view, 4> call_texts = {"nothing unusual", "look closer", "can't tell", "stop and inspect"};
constexpr std::array<int, 4> exit_statuses = {0, 10, 30, 20};
constexpr std::array<std::string_view, 7> phases = {"slack", "loading", "sliding", "clear", "entering", "driving", "home"};
constexpr std::array<std::string_view, 7> phase_texts = {"not loaded", "in its seat, not broken loose", "sliding out", "clear of its seat",
                                                        "entering its seat", "sliding in, not home", "home in its seat"};
constexpr std::array<std::string_view, 4> words = {"turn", "slower", "wait", "stop"};

// Hard blanks, so that no line break parts a number from its unit.
constexpr std::string_view hard_blank = "\xC2\xA0";

// A whole number, from five digits on in groups of three; sentences stay free of locales.
std::string grouped(long long value) {
    std::string digits = std::to_string(value < 0 ? -value : value);
    if (digits.size() > 4)
        for (std::size_t i = digits.size(); i > 3; i -= 3) digits.insert(i - 3, hard_blank);
    return (value < 0 ? "-" : "") + digits;
}

std::string two_decimals(double value) {
    const long long hundredths = static_cast<long long>(value * 100 + (value < 0 ? -0.5 : 0.5));
    const long long size = hundredths < 0 ? -hundredths : hundredths;
    return (hundredths < 0 ? "-" : "") + std::to_string(size / 100) + "." + std::to_string(size % 100 / 10) + std::to_string(size % 10);
}

}  // namespace

std::string_view call_id(Call call) { return call_ids[static_cast<std::size_t>(call)]; }
std::string_view call_words(Call call) { return call_texts[static_cast<std::size_t>(call)]; }
int call_exit_status(Call call) { return exit_statuses[static_cast<std::size_t>(call)]; }
std::string_view phase_name(Phase phase) { return phases[static_cast<std::size_t>(phase)]; }
std::string_view phase_words(Phase phase) { return phase_texts[static_cast<std::size_t>(phase)]; }
std::string_view hand_word(HandWord word) { return words[static_cast<std::size_t>(word)]; }

std::string newtons(double force_N) {
    if (!(force_N > -1e15 && force_N < 1e15)) return "? N";
    return grouped(static_cast<long long>(force_N + (force_N < 0 ? -0.5 : 0.5))).append(hard_blank) + "N";
}
std::string turns_words(double turns) { return two_decimals(turns).append(hard_blank) + "turn"; }
std::string millimetres(double mm) { return two_decimals(mm).append(hard_blank) + "mm"; }

Reach what_can_be_judged(const SetUp& set_up) {
    const bool force = find_channel(set_up, Measure::force), counter = find_channel(set_up, Measure::turns),
               screw = find_channel(set_up, Measure::screw_travel) && set_up.pitch_mm > 0,
               ring = find_channel(set_up, Measure::ring_travel);
    const bool band = set_up.break_loose_N.high > 0, turns = screw || counter;
    Reach reach;
    const auto say = [&](bool possible, std::string what, const std::string& needs) {
        if (possible) reach.can.push_back(std::move(what));
        else reach.cannot.push_back(std::move(what) + " (needs " + needs + ")");
    };
    say(force && band, "force past or below the expected band", force ? "a bearing and a fit that are known" : "a force reading");
    say(force && set_up.force_limit_N > 0, "heading for the rig's limit", force ? "force_limit_N in the rig file" : "a force reading");
    if (set_up.work == Work::out) {
        say(turns, "half a turn with no release",
            "a turn counter, or screw travel and the pitch; a pedal or key per sixth of a turn will do");
        say(force || ring, "the release itself", "a force or ring-travel reading");
        say(force && turns, "force coming back while the ring slides", "force and turns");
    } else {
        say(force && turns, "home on the shoulder, and driven on", "force and turns");
    }
    say(force && turns, "a travel reading that can't be right", "force and turns");
    say(counter && screw, "which end moves", "a turn counter and screw travel together");
    return reach;
}

}  // namespace halfturn
