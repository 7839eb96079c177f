#include "drivers/captures.hpp"

#include <algorithm>

#include "core/item_json.hpp"
#include "drivers/shared/replay.hpp"

namespace halfturn::test {
namespace {

// Feeds the bytes cut at the given places, requests in between at theirs.
template <class Each>
void feed(Framer& framer, const Capture& capture, std::string_view bytes, const std::vector<std::size_t>& cuts, Each&& each) {
    std::vector<std::size_t> request_at;
    const bool in_step = capture.requests.size() == capture.chunks.size();
    std::size_t position = 0;
    for (std::size_t i = 0; i < capture.requests.size(); ++i) {
        request_at.push_back(in_step ? position : 0);
        if (in_step) position += capture.chunks[i];
    }
    std::size_t fed = 0, next_request = 0, next_cut = 0;
    const Framer::Sink sink = [&](const Item& item, std::size_t bytes_after) { each(item, fed - bytes_after); };
    while (true) {
        while (next_request < request_at.size() && request_at[next_request] <= fed) framer.sent(capture.requests[next_request++]);
        if (fed == bytes.size()) break;
        while (next_cut < cuts.size() && cuts[next_cut] <= fed) ++next_cut;
        std::size_t to = next_cut < cuts.size() ? std::min(cuts[next_cut], bytes.size()) : bytes.size();
        if (next_request < request_at.size()) to = std::min(to, request_at[next_request]);
        const std::string_view part = bytes.substr(fed, to - fed);
        fed = to;
        framer.feed(part, sink);
    }
    framer.end(sink);
}

std::vector<Seen> collect(Framer framer, const Format& format, const Capture& capture, std::string_view bytes,
                          const std::vector<std::size_t>& cuts) {
    std::vector<Seen> seen;
    feed(framer, capture, bytes, cuts, [&](const Item& item, std::size_t end) {
        seen.push_back({item_json(item, format), std::holds_alternative<Reading>(item), std::holds_alternative<Fault>(item), end});
    });
    return seen;
}

}  // namespace

const std::vector<StoredCapture>& captures() {
    static const std::vector<StoredCapture> all = [] {
        std::vector<std::filesystem::path> paths;
        for (const auto& entry : std::filesystem::recursive_directory_iterator(HALFTURN_TESTS_DIR "/captures"))
            if (entry.path().extension() == ".json") paths.push_back(entry.path());
        std::sort(paths.begin(), paths.end());
        std::vector<StoredCapture> list;
        for (const auto& path : paths) list.push_back({read_capture(path.string()), path});
        return list;
    }();
    return all;
}

std::vector<Seen> play(const Capture& capture, std::string_view bytes, const std::vector<std::size_t>& cuts) {
    const Format& listed = need_format(capture.driver);
    const Played played = settings_for(listed, capture.settings, true);
    const Format format = as_set(listed, played.settings);
    return collect(Framer(format, played.settings, capture.start, played.marked), format, capture, bytes, cuts);
}

std::vector<Seen> play_through(const Format& format, const Settings& settings, const Capture& capture) {
    const Played played = settings_for(format, settings, true);
    return collect(Framer(format, played.settings, capture.start, played.marked), format, capture, capture.bytes, {});
}

std::vector<std::string> reading_texts(const Capture& capture, std::string_view bytes) {
    const Format& format = need_format(capture.driver);
    const Played played = settings_for(format, capture.settings, true);
    Framer framer(format, played.settings, capture.start, played.marked);
    std::vector<std::string> texts;
    feed(framer, capture, bytes, {}, [&](const Item& item, std::size_t) {
        const auto* reading = std::get_if<Reading>(&item);
        if (!reading) return;
        std::string text = to_text(reading->value);
        text.append(" ").append(unit_name(reading->unit)).append(" ").append(reading->channel.view());
        texts.push_back(std::move(text));
    });
    return texts;
}

}  // namespace halfturn::test
