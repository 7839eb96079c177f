#include "command/terminal/bench_view.hpp"

#include <algorithm>
#include <array>

#include "command/summary.hpp"
#include "core/number_text.hpp"
#include "core/utf8.hpp"
#include "watch/rule.hpp"

namespace halfturn::command {
namespace {

// Block letters, five rows each: only those that the four words need.
struct Letter { char name; std::array<std::string_view, 5> rows; };
constexpr std::array<Letter, 13> letters = {{
    {'T', {"#####", "  #  ", "  #  ", "  #  ", "  #  "}}, {'U', {"#   #", "#   #", "#   #", "#   #", " ### "}},
    {'R', {"#### ", "#   #", "#### ", "#  # ", "#   #"}}, {'N', {"#   #", "##  #", "# # #", "#  ##", "#   #"}},
    {'S', {" ####", "#    ", " ### ", "    #", "#### "}}, {'L', {"#    ", "#    ", "#    ", "#    ", "#####"}},
    {'O', {" ### ", "#   #", "#   #", "#   #", " ### "}}, {'W', {"#   #", "#   #", "# # #", "## ##", "#   #"}},
    {'E', {"#####", "#    ", "#### ", "#    ", "#####"}}, {'A', {" ### ", "#   #", "#####", "#   #", "#   #"}},
    {'I', {" ### ", "  #  ", "  #  ", "  #  ", " ### "}}, {'P', {"#### ", "#   #", "#### ", "#    ", "#    "}},
    {' ', {"     ", "     ", "     ", "     ", "     "}},
}};

std::string capitals(std::string_view word) {
    std::string out;
    for (const char c : word) out += c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
    return out;
}

std::vector<std::string> big(std::string_view small, std::size_t columns_free) {
    const std::string word = capitals(small);
    const std::size_t wide = word.size() * 12 <= columns_free ? 2 : 1;  // doubled in width where there is room
    std::vector<std::string> rows(5);
    for (const char c : word) {
        const auto letter = std::find_if(letters.begin(), letters.end(), [&](const Letter& l) { return l.name == c; });
        for (std::size_t i = 0; i < 5; ++i) {
            for (const char dot : letter == letters.end() ? std::string_view("     ") : letter->rows[i])
                for (std::size_t k = 0; k < wide; ++k) rows[i] += dot == '#' ? "█" : " ";
            rows[i] += std::string(wide + 1, ' ');
        }
    }
    return rows;
}

std::string padded(std::string text, std::size_t width) {
    const std::size_t now = columns(text);
    if (now < width) text.append(width - now, ' ');
    return text;
}

// Six flats since contact; the first three are the half turn that decides.
std::string flats(const Snapshot& now) {
    if (!now.turns_from_contact) return now.phase == Phase::slack ? "flats  no contact yet" : "flats  no turn reading";
    const double sixths = std::max(0.0, *now.turns_from_contact * 6);
    std::string out = "flats  ";
    const double shown = now.break_loose ? sixths - 6 * static_cast<double>(static_cast<long>(sixths / 6)) : std::min(sixths, 6.0);
    for (int i = 0; i < 6; ++i) {
        if (i == 3) out += "┃ ";
        out += shown >= i + 1 ? "▐█▌ " : shown > i ? "▐▄▌ " : " ·  ";
    }
    return out + "  " + (*now.turns_from_contact < -0.005 ? "back past contact" : turns_words(*now.turns_from_contact) + " from contact");
}

// One bar: the force, the expected band, the limit, where the force is heading.
std::vector<std::string> force_bar(const Snapshot& now, const SetUp& s, std::size_t width) {
    const double top = std::max({s.force_limit_N, s.break_loose_N.high * 1.15, now.peak_N * 1.1, 100.0});
    const auto at = [&](double force) {
        return static_cast<std::size_t>(std::clamp(force / top, 0.0, 1.0) * static_cast<double>(width - 1));
    };
    std::vector<std::string> bar(width, " ");
    if (s.break_loose_N.high > 0)
        for (std::size_t i = at(s.break_loose_N.low); i <= at(s.break_loose_N.high); ++i) bar[i] = "░";
    if (now.force_N)
        for (std::size_t i = 0; i <= at(*now.force_N) && *now.force_N > 0; ++i) bar[i] = "█";
    if (now.heading_N && now.force_N && at(*now.heading_N) > at(*now.force_N)) bar[at(*now.heading_N)] = "▸";
    if (s.force_limit_N > 0) bar[at(s.force_limit_N)] = "┃";
    std::string line, scale = "0";
    for (const auto& cell : bar) line += cell;
    if (s.break_loose_N.high > 0) {
        const std::string band = "░ expected " + newtons(s.break_loose_N.low) + " to " + newtons(s.break_loose_N.high);
        scale += std::string(3, ' ') + band;
    }
    if (s.force_limit_N > 0) {
        const std::string limit = "limit " + newtons(s.force_limit_N) + " ┃";
        const std::size_t used = columns(scale) + columns(limit);
        const std::size_t end = std::min(width, at(s.force_limit_N) + 1);
        scale += std::string(end > used ? end - used : 2, ' ') + limit;
    }
    return {line, scale};
}

std::string ages(const Snapshot& now) {
    std::string out;
    for (const auto& c : now.channels) {
        out += (out.empty() ? "" : "   ") + std::string(measure_name(c.measures)) + " ";
        if (!c.heard) out += "never heard";
        else if (!c.value) out += "NO READING for " + fixed_text(c.age_s, 1) + " s";
        else out += fixed_text(c.age_s, 1) + " s old, " + fixed_text(c.readings_per_s, 0) + "/s";
    }
    return out;
}

std::string_view recording_words(Recording state) {
    switch (state) {
        case Recording::on: return "● recording";
        case Recording::late: return "◐ recording, the disk is late";
        case Recording::stopped: return "○ NOT RECORDING";
    }
    return "";
}

// Lines that belong together, and how long they stay where there is little room: the least needed go first.
struct Block { int needed; std::vector<std::string> lines; };

std::vector<std::string> split(const std::string& text, const std::string& indent = {}) {
    std::vector<std::string> lines;
    for (std::size_t start = 0, end; (end = text.find('\n', start)) != std::string::npos; start = end + 1)
        lines.push_back(indent + text.substr(start, end - start));
    return lines;
}

std::size_t height(const std::vector<Block>& blocks) {
    std::size_t rows = 0;
    for (const Block& block : blocks) rows += block.lines.size();
    return rows;
}

// The gravest and newest warning: what the hands do, what was seen, what to look at; the others by name.
void add_warning(std::vector<Block>& out, const Snapshot& now, const std::vector<Warning>& warnings, std::size_t width) {
    const auto worst = std::max_element(warnings.begin(), warnings.end(),
                                        [](const Warning& a, const Warning& b) { return a.call < b.call; });
    out.push_back({0, {""}});
    out.push_back({8, split(warning_says(*worst, width - 2), "  ")});
    if (worst->call != Call::stop_and_inspect || now.stop_latched) out.push_back({9, split(warning_hands(*worst, width - 2), "  ")});
    out.push_back({now.unloaded ? 9 : 5, split(warning_look(*worst, width - 2), "  ")});
    if (warnings.size() < 2) return;
    std::string others;
    for (const Warning& w : warnings)
        if (&w != &*worst) others += (others.empty() ? "" : ", ") + std::string(w.rule);
    out.push_back({1, split(wrapped("  also: " + others, width, "        "))});
}

}  // namespace

std::vector<std::string> bench_lines(const Snapshot& now, const SetUp& s, const std::vector<Warning>& warnings,
                                     std::size_t width, std::size_t rows, const std::string& keys) {
    width = std::clamp<std::size_t>(width, 40, 120);
    std::vector<Block> out;
    const std::string light(recording_words(now.recording));
    const std::string job = " " + std::string(work_name(s.work)) + "  " + s.designation + (s.item.empty() ? "" : "  " + s.item);
    out.push_back({6, {cell(job, width - columns(light) - 2) + " " + light}});
    out.push_back({0, {""}});
    Block word{10, {}};
    const bool looking = !warnings.empty() && now.unloaded;  // what is to be looked at, rather than large letters
    if (rows < (looking ? 22 : 14)) word.lines.push_back("  " + capitals(hand_word(now.word)));
    else
        for (const auto& row : big(hand_word(now.word), width - 2)) word.lines.push_back("  " + row);
    out.push_back(std::move(word));
    if (!warnings.empty()) add_warning(out, now, warnings, width);
    out.push_back({0, {""}});
    const std::string force = now.force_N ? newtons(*now.force_N) : "no force reading";
    out.push_back({9, {cell("  " + padded("force  " + force, 26) + padded("highest  " + newtons(now.peak_N), 20), width)}});
    const auto bar = force_bar(now, s, width - 4);
    out.push_back({4, {"  " + bar[0]}});
    out.push_back({3, {cell("  " + bar[1], width)}});
    out.push_back({0, {""}});
    out.push_back({6, {cell("  " + flats(now), width)}});
    std::string ring = "  ring   " + std::string(phase_words(now.phase));
    if (now.break_loose)
        ring += "; broke loose at " + newtons(now.break_loose->force_N) + ", " +
                turns_words(now.break_loose->turns_from_contact) + " after contact";
    out.push_back({2, split(wrapped(ring, width, "         "))});
    out.push_back({0, {""}});
    out.push_back({8, split(wrapped("  next   " + now.next, width, "         "))});
    // The foot stays in sight whatever stands above it.
    const Block foot_keys{10, split(wrapped("  " + keys, width, "  "))}, foot_ages{7, split(wrapped("  " + ages(now), width, "  "))};
    const std::size_t foot = foot_keys.lines.size() + foot_ages.lines.size(), room = rows > foot ? rows - foot : 1;
    for (int needed = 0; needed < 10 && height(out) > room; ++needed)
        for (std::size_t i = out.size(); i-- > 0 && height(out) > room;)
            if (out[i].needed == needed) out[i].lines.clear();
    std::vector<std::string> lines;
    for (const Block& block : out) lines.insert(lines.end(), block.lines.begin(), block.lines.end());
    lines.resize(room);
    for (const Block* block : {&foot_ages, &foot_keys}) lines.insert(lines.end(), block->lines.begin(), block->lines.end());
    return lines;
}

std::string bench_line(const Snapshot& now) {
    std::string out = padded(fixed_text(seconds(now.at), 1) + " s", 9) + padded(std::string(hand_word(now.word)), 8) +
                      padded(std::string(phase_name(now.phase)), 10);
    out += padded(now.turns_from_contact ? turns_words(*now.turns_from_contact) : "", 12);
    out += padded(now.force_N ? newtons(*now.force_N) : "no force", 11) + now.next;
    return out + "\n";
}

}  // namespace halfturn::command
