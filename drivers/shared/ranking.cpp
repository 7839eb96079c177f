#include "drivers/shared/ranking.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "core/failure.hpp"
#include "core/framer.hpp"
#include "drivers/shared/description.hpp"
#include "drivers/shared/seven_bits.hpp"

namespace halfturn {
namespace {

constexpr std::size_t strictness_bytes = 320;     // strictness is tried on so many of the bytes …
constexpr std::size_t strictness_positions = 64;  // … at so many places among them
constexpr double bits_per_reject = 8;
constexpr double least_share = 0.05;              // below it a format is not worth trying on changed bytes
constexpr double as_good_bits_per_byte = 1;
constexpr std::size_t least_for_parity = 12;

// Formats of files, not of instruments.
constexpr std::array<std::string_view, 2> not_on_a_port = {"log-csv", "parmrk"};

// ---- settings to try -------------------------------------------------------------------------------------------------
// By key, whatever the format; a value that a format refuses is passed over. The empty value leaves the key out.

struct Tried {
    std::string_view key;
    std::vector<std::string> values;
};

std::vector<std::string> values_to_try(std::string_view key, const Format& format) {
    static const std::vector<Tried> tried = {
        {"fields", {"", "us,raw", "ms,raw", "ms,value,unit,raw", "ms,value"}},
        {"encoding", {"", "u24_twos"}},
        {"digit_order", {"low_first", "high_first"}},
        {"layout", {"", "start_bit"}},
        {"checksum", {"", "false"}},
        {"decimal", {"", "comma"}},
        {"order", {"abcd", "abs,rel"}},
        {"type", {"float32", "int32", "u17_status"}},
        {"counts_per_inch", {"20480"}},
    };
    if (key == "unit") return {format.measures == Quantity::length ? "mm" : "N"};
    if (key == "instrument") {
        std::vector<std::string> names;
        for (const auto& [name, text] : shipped_descriptions()) names.emplace_back(name);
        return names;
    }
    for (const Tried& one : tried)
        if (one.key == key) return one.values;
    return {};
}

// What listening can never tell, though a value had to be taken for the trial.
constexpr std::array<std::string_view, 3> never_heard = {"order", "type", "counts_per_inch"};

std::vector<Settings> settings_to_try(const Format& format) {
    std::vector<Settings> all = {{}};
    for (const auto& key : format.settings) {
        const auto values = values_to_try(key, format);
        if (values.empty() || key == "description" || (format.id == "described" && key == "unit")) continue;
        std::vector<Settings> more;
        for (const Settings& so_far : all)
            for (const auto& value : values) {
                more.push_back(so_far);
                if (!value.empty()) more.back().emplace(key, value);
            }
        all = std::move(more);
    }
    std::erase_if(all, [&](const Settings& settings) {
        try {
            format.make(settings, Start::boundary);
            return false;
        } catch (const BadInput&) {
            return true;
        }
    });
    return all;
}

// ---- what a format makes of bytes --------------------------------------------------------------------------------------

struct Span {
    std::size_t begin, end;
};

struct Tally {
    int readings = 0, faults = 0, rejects = 0;
    std::size_t good = 0, bad = 0;
    bool unit_open = false;
};

Tally tally(const Format& format, const Settings& settings, std::string_view bytes, std::vector<Span>* good_spans = nullptr) {
    Tally t;
    std::size_t begin = 0;
    bool ended = false;
    Framer framer(format, settings, Start::boundary);
    const Framer::Sink sink = [&](const Item& item, std::size_t after) {
        const std::size_t end = bytes.size() - after;
        const std::size_t size = end > begin ? end - begin : 0;
        const auto* fault = std::get_if<Fault>(&item);
        // Both say that the bytes are not what this format expected.
        const bool doubtful = fault && (fault->code == FaultCode::device_restarted || fault->code == FaultCode::line_settings);
        if (const auto* reading = std::get_if<Reading>(&item)) {
            ++t.readings;
            t.unit_open = t.unit_open || reading->unit_from_settings;
        }
        if (fault && !doubtful) ++t.faults;
        if (std::holds_alternative<Reject>(item) || doubtful) {
            if (ended) return;  // what was cut off at the end speaks against nobody
            ++t.rejects;
            t.bad += size;
        } else if (!std::holds_alternative<Info>(item)) {
            t.good += size;
            if (good_spans && size > 0) good_spans->push_back({begin, end});
        }
        begin = std::max(begin, end);
    };
    framer.feed(bytes, sink);
    ended = true;
    framer.end(sink);
    return t;
}

// ---- strictness --------------------------------------------------------------------------------------------------------

// Bytes that stand for their kin: for each, how many of the 256 they speak for.
struct StandIn {
    char byte;
    int kin;
};
constexpr std::array<StandIn, 20> stand_ins = {{
    {'0', 3}, {'4', 3}, {'9', 4}, {'B', 3}, {'F', 3}, {'G', 7}, {'M', 7}, {'T', 6}, {'b', 6}, {'m', 10}, {'t', 10},
    {' ', 1}, {'.', 1}, {',', 1}, {'-', 1}, {'+', 1}, {'%', 28}, {'\x05', 31}, {'\r', 2}, {'\xC1', 128}}};

// The mean over places in readings of log2(256 / bytes that could stand there).
double strictness(const Format& format, const Settings& settings, std::string_view bytes) {
    bytes = bytes.substr(0, strictness_bytes);
    std::vector<Span> spans;
    const Tally plain = tally(format, settings, bytes, &spans);
    std::vector<std::size_t> places;
    for (const Span& span : spans)
        for (std::size_t at = span.begin; at < span.end; ++at) places.push_back(at);
    if (places.empty()) return 0;
    const std::size_t step = std::max<std::size_t>(1, places.size() / strictness_positions);
    std::string changed(bytes);
    double bits = 0;
    std::size_t tried = 0;
    for (std::size_t i = 0; i < places.size(); i += step, ++tried) {
        const std::size_t at = places[i];
        int possible = 1;
        for (const StandIn& other : stand_ins) {
            if (bytes[at] == other.byte) {
                possible += other.kin - 1;
                continue;
            }
            changed[at] = other.byte;
            const Tally t = tally(format, settings, changed);
            if (t.rejects <= plain.rejects && t.good >= plain.good) possible += other.kin;
        }
        changed[at] = bytes[at];
        bits += std::log2(256.0 / std::min(possible, 256));
    }
    return bits / static_cast<double>(tried);
}

Fit fit_of(const Format& format, std::string_view bytes) {
    Fit best;
    std::vector<std::string> undecided;
    for (const Settings& settings : settings_to_try(format)) {
        const Tally t = tally(format, settings, bytes);
        const double judged = static_cast<double>(t.good + t.bad);
        if (t.readings + t.faults == 0 || judged == 0 || static_cast<double>(t.good) < least_share * judged) continue;
        Fit fit{&format, settings, {}, t.readings, t.faults, t.rejects, static_cast<double>(t.good) / judged, 0, 0};
        fit.bits_per_byte = strictness(format, settings, bytes);
        fit.bits = fit.bits_per_byte * static_cast<double>(t.good) - bits_per_reject * t.rejects;
        if (t.unit_open) fit.open.emplace_back("unit");
        else fit.settings.erase("unit");
        for (const auto& key : never_heard)
            if (settings.contains(key)) fit.open.emplace_back(key);
        if (best.format && fit.bits == best.bits)  // both values of a setting do: nothing on the wire tells
            for (const auto& [key, value] : settings)
                if (best.settings.contains(key) && best.settings.at(key) != value &&
                    std::find(undecided.begin(), undecided.end(), key) == undecided.end())
                    undecided.push_back(key);
        if (!best.format || fit.bits > best.bits) {
            best = std::move(fit);
            undecided.clear();
        }
    }
    for (auto& key : undecided)
        if (std::find(best.open.begin(), best.open.end(), key) == best.open.end()) best.open.push_back(std::move(key));
    return best;
}

}  // namespace

std::vector<Fit> rank_formats(std::string_view bytes) {
    bytes = bytes.substr(0, most_ranked_bytes);
    std::string seven_bits;
    if (seven_bit_parity(bytes) != Parity::none) {
        seven_bits = without_bit_7(bytes);
        bytes = seven_bits;
    }
    std::vector<Fit> fits;
    for (const Format* format : all_formats()) {
        if (std::find(not_on_a_port.begin(), not_on_a_port.end(), format->id) != not_on_a_port.end()) continue;
        Fit fit = fit_of(*format, bytes);
        if (fit.format) fits.push_back(std::move(fit));
    }
    std::stable_sort(fits.begin(), fits.end(), [](const Fit& a, const Fit& b) { return a.bits > b.bits; });
    return fits;
}

bool as_good(const Fit& fit, const Fit& best) {
    return fit.share >= 0.98 * best.share && fit.rejects <= best.rejects && best.bits_per_byte - fit.bits_per_byte < as_good_bits_per_byte;
}

Parity seven_bit_parity(std::string_view bytes) {
    if (bytes.size() < least_for_parity) return Parity::none;
    // Text read as it is has no high bits; all of one parity by chance is once in 2^12 and more.
    const bool all_high = std::all_of(bytes.begin(), bytes.end(), [](char c) { return (c & 0x80) != 0; });
    return all_high ? Parity::none : parity_of(bytes);
}

Unmarked without_marks(std::string_view marked) {
    Unmarked out;
    for (std::size_t i = 0; i < marked.size(); ++i) {
        if (marked[i] != '\xFF' || i + 1 == marked.size()) {
            out.bytes += marked[i];
        } else if (marked[i + 1] == '\0' && i + 2 < marked.size()) {
            out.bytes += marked[i + 2];
            ++out.wrong;
            i += 2;
        } else {
            out.bytes += '\xFF';
            if (marked[i + 1] == '\xFF') ++i;
        }
    }
    return out;
}

}  // namespace halfturn
