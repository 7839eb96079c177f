// Every wire format and instrument description: no bytes may crash a decoder, no cutting may change what it makes of them or
// where it says each item ended, and settings or descriptions that can't be used are BadInput.
// Input: a first line "FORMAT [mid-line] [marked] [asked] [cut=N] [key=value …]", then the instrument's bytes. `asked`: the
// request went out first. `key=value` is one setting; "description=" takes its text from what stands before the first NUL.
#include <algorithm>
#include <optional>

#include "core/failure.hpp"
#include "core/framer.hpp"
#include "core/item_json.hpp"
#include "fuzz/frame/fuzz.hpp"

namespace halfturn::fuzz {
namespace {

struct Play {
    const Format* format = nullptr;
    Settings settings;
    Start start = Start::boundary;
    bool marked = false, asked = false;
    std::size_t cut = 3;
};

std::optional<Play> read_head(std::string_view line) {
    Play play;
    while (!line.empty()) {
        const std::string_view word = line.substr(0, line.find(' '));
        line.remove_prefix(std::min(line.size(), word.size() + 1));
        const std::size_t equals = word.find('=');
        if (!play.format) {
            play.format = find_format(word);
            if (!play.format) return {};
        } else if (word == "mid-line") {
            play.start = Start::mid_line;
        } else if (word == "marked") {
            play.marked = true;
        } else if (word == "asked") {
            play.asked = true;
        } else if (word.starts_with("cut=") && word.size() == 5 && word[4] > '0' && word[4] <= '9') {
            play.cut = static_cast<std::size_t>(word[4] - '0');
        } else if (equals != std::string_view::npos) {
            const std::string key(word.substr(0, equals));
            if (key == "file") return {};  // reads files
            play.settings[key] = word.substr(equals + 1);
        }
    }
    return play.format ? std::optional(play) : std::nullopt;
}

std::string played(const Play& play, const std::string& request, std::string_view bytes, std::size_t read_bytes) {
    Framer framer(*play.format, play.settings, play.start, play.marked);
    if (!request.empty()) framer.sent(request);
    std::string out;
    std::size_t fed = 0;
    const Framer::Sink sink = [&](const Item& item, std::size_t after) {
        out += item_json(item, *play.format);
        // The marks of a serial line are taken out before places are counted.
        if (!play.marked) out += " @" + std::to_string(fed - after);
        out += '\n';
    };
    while (!bytes.empty()) {
        const std::string_view one = bytes.substr(0, read_bytes);
        bytes.remove_prefix(one.size());
        fed += one.size();
        framer.feed(one, sink);
    }
    framer.end(sink);
    return out;
}

}  // namespace

void try_formats(std::string_view bytes) {
    auto play = read_head(take_line(bytes));
    if (!play) return;
    if (const auto described = play->settings.find("description"); described != play->settings.end() && described->second.empty()) {
        const std::size_t end = std::min(bytes.find('\0'), bytes.size());
        described->second = bytes.substr(0, end);
        bytes.remove_prefix(std::min(bytes.size(), end + 1));
    }
    std::string request;
    try {
        if (play->asked) request = request_for(*play->format, play->settings);
        play->settings = frozen(*play->format, play->settings);
        as_set(*play->format, play->settings);
        play->format->make(play->settings, play->start);
    } catch (const BadInput&) {
        return;
    }
    const std::string whole = played(*play, request, bytes, bytes.size() + 1);
    for (const std::size_t read_bytes : {std::size_t{1}, play->cut})
        if (const std::string cut = played(*play, request, bytes, read_bytes); cut != whole)
            broken(std::string(play->format->id) + ": cutting the bytes changed the items\n" + whole + "became\n" + cut);
}

}  // namespace halfturn::fuzz
