#include "files/set_up_json.hpp"

#include <cmath>

#include "core/failure.hpp"
#include "core/json_writer.hpp"
#include "files/json_value.hpp"

namespace halfturn {
namespace {

// Each struct's fields are listed once; writing and reading walk the same list, so they can't drift apart.
template <class Archive, class Value>
void fields(Archive& archive, Value& value);

template <class Value>
concept Listed = requires(Value& value) { Value(value); } &&
                 (std::is_same_v<Value, Band> || std::is_same_v<Value, PortSetUp> || std::is_same_v<Value, ChannelSetUp> ||
                  std::is_same_v<Value, CurvePoint> || std::is_same_v<Value, GripPoint> || std::is_same_v<Value, LineSettings> ||
                  std::is_same_v<Value, SetUp>);

template <class Enum>
struct Names;
template <>
struct Names<Work> {
    static constexpr std::string_view list[] = {"out", "in"};
};
template <>
struct Names<Access> {
    static constexpr std::string_view list[] = {"past-spacer", "through", "unknown"};
};
template <>
struct Names<Measure> {
    static constexpr std::string_view list[] = {"force", "screw-travel", "ring-travel", "turns"};
};
template <>
struct Names<Start> {
    static constexpr std::string_view list[] = {"boundary", "mid-line"};
};
template <>
struct Names<Parity> {
    static constexpr std::string_view list[] = {"none", "even", "odd"};
};

class Writer {
public:
    template <class Value>
    void operator()(std::string_view key, const Value& value) {
        json_.key(key);
        write(value);
    }
    template <Listed Value>
    void write(const Value& value) {
        json_.object();
        fields(*this, value);
        json_.end();
    }
    void write(double value) {
        if (std::isnan(value)) json_.text("nan");
        else if (std::isinf(value)) json_.text(value > 0 ? "inf" : "-inf");
        else if (value == 0 && std::signbit(value)) json_.raw("-0.0");
        else json_.number(value);
    }
    void write(int value) { json_.integer(value); }
    void write(std::uint16_t value) { json_.integer(value); }
    void write(bool value) { json_.boolean(value); }
    void write(const std::string& value) { json_.text(value); }
    void write(Unit value) { json_.text(value == Unit::none ? "" : unit_name(value)); }
    void write(const Settings& value) {
        json_.object();
        for (const auto& [key, setting] : value) json_.put(key, std::string_view(setting));
        json_.end();
    }
    template <class Enum>
        requires std::is_enum_v<Enum>
    void write(Enum value) { json_.text(Names<Enum>::list[static_cast<std::size_t>(value)]); }
    template <class Value>
    void write(const std::vector<Value>& values) {
        json_.array();
        for (const Value& value : values) write(value);
        json_.end();
    }
    std::string take() { return json_.take(); }

private:
    JsonWriter json_;
};

class Reader {
public:
    explicit Reader(const JsonValue& json) : json_(json) { json.members(); }

    template <class Value>
    void operator()(std::string_view key, Value& value) {
        const JsonValue* found = json_.find(key);
        if (found == nullptr) return;
        try {
            read(*found, value);
        } catch (const BadInput& error) {
            throw BadInput(std::string(key) + ": " + error.what());
        }
    }
    template <Listed Value>
    static void read(const JsonValue& json, Value& value) {
        Reader reader(json);
        fields(reader, value);
    }
    static void read(const JsonValue& json, double& value) { value = json.number(); }
    static void read(const JsonValue& json, int& value) { value = whole<int>(json); }
    static void read(const JsonValue& json, std::uint16_t& value) { value = whole<std::uint16_t>(json); }
    static void read(const JsonValue& json, bool& value) { value = json.boolean(); }
    static void read(const JsonValue& json, std::string& value) { value = json.text(); }
    static void read(const JsonValue& json, Unit& value) {
        const auto unit = json.text().empty() ? Unit::none : unit_from_name(json.text());
        if (!unit) throw BadInput("there is no unit \"" + json.text() + "\"");
        value = *unit;
    }
    static void read(const JsonValue& json, Settings& value) {
        value.clear();
        for (const auto& [key, setting] : json.members()) value[key] = setting.text();
    }
    template <class Enum>
        requires std::is_enum_v<Enum>
    static void read(const JsonValue& json, Enum& value) {
        std::size_t index = 0;
        for (const std::string_view name : Names<Enum>::list) {
            if (name == json.text()) {
                value = static_cast<Enum>(index);
                return;
            }
            ++index;
        }
        throw BadInput("\"" + json.text() + "\" is not a value known here");
    }
    template <class Value>
    static void read(const JsonValue& json, std::vector<Value>& values) {
        values.clear();
        for (const JsonValue& item : json.items()) read(item, values.emplace_back());
    }

private:
    template <class Whole>
    static Whole whole(const JsonValue& json) {
        const std::int64_t value = json.integer();
        if (!std::in_range<Whole>(value)) throw BadInput("the number " + json.number_as_text() + " is out of range");
        return static_cast<Whole>(value);
    }
    const JsonValue& json_;
};

template <class Archive, class Value>
void fields(Archive& a, Value& v) {
    using Plain = std::remove_const_t<Value>;
    if constexpr (std::is_same_v<Plain, Band>) {
        a("low", v.low), a("mid", v.mid), a("high", v.high);
    } else if constexpr (std::is_same_v<Plain, CurvePoint>) {
        a("turns", v.turns), a("low_N", v.low_N), a("mid_N", v.mid_N), a("high_N", v.high_N);
    } else if constexpr (std::is_same_v<Plain, GripPoint>) {
        a("slid_mm", v.slid_mm), a("fraction", v.fraction);
    } else if constexpr (std::is_same_v<Plain, LineSettings>) {
        a("baud", v.baud), a("bits", v.bits), a("parity", v.parity), a("stop", v.stop), a("dtr", v.dtr), a("rts", v.rts);
    } else if constexpr (std::is_same_v<Plain, PortSetUp>) {
        a("name", v.name), a("device", v.device), a("format", v.format), a("settings", v.settings), a("line", v.line);
        a("silence_s", v.silence_s), a("lag_s", v.lag_s), a("marked", v.marked), a("start", v.start);
        a("device_tick_s", v.device_tick_s);
    } else if constexpr (std::is_same_v<Plain, ChannelSetUp>) {
        a("port", v.port), a("measures", v.measures), a("index", v.index), a("sign", v.sign), a("unit", v.unit);
        a("mass_as_force", v.mass_as_force), a("counts_per_turn", v.counts_per_turn), a("coefficients", v.coefficients);
        a("calibration", v.calibration), a("capacity", v.capacity), a("readings_per_s", v.readings_per_s);
        a("least_count", v.least_count), a("eccentric_load_known", v.eccentric_load_known);
        a("eccentric_calibration", v.eccentric_calibration), a("eccentric_percent_per_mm", v.eccentric_percent_per_mm);
        a("eccentric_to_mm", v.eccentric_to_mm);
    } else {
        a("version", v.version), a("work", v.work), a("access", v.access);
        a("rig", v.rig), a("ports", v.ports), a("channels", v.channels), a("pitch_mm", v.pitch_mm);
        a("stiffness_N_per_mm", v.stiffness_N_per_mm), a("stiffness_measured", v.stiffness_measured);
        a("force_limit_N", v.force_limit_N), a("lead_s", v.lead_s), a("fastest_turns_per_s", v.fastest_turns_per_s);
        a("break_loose_N", v.break_loose_N), a("sliding_N", v.sliding_N), a("curve", v.curve), a("grip_fall", v.grip_fall);
        a("seat_length_mm", v.seat_length_mm), a("drift_reach_mm", v.drift_reach_mm), a("half_turn", v.half_turn);
        a("item", v.item), a("seat", v.seat), a("set", v.set), a("who", v.who), a("designation", v.designation);
        a("job_text", v.job_text), a("rig_text", v.rig_text), a("expectation_json", v.expectation_json);
        a("marks", v.marks), a("practice", v.practice);
    }
}

}  // namespace

std::string set_up_json(const SetUp& set_up) {
    Writer writer;
    writer.write(set_up);
    return writer.take();
}

SetUp set_up_from_json(std::string_view json, const std::string& name_for_errors) {
    const JsonValue value = JsonValue::parse(json, name_for_errors);
    SetUp set_up;
    try {
        if (const JsonValue* version = value.find("version"); version != nullptr && version->integer() > newest_set_up_version)
            throw BadInput("version " + version->number_as_text() + " was written by a newer halfturn, which this one can't judge: "
                           "update halfturn");
        Reader::read(value, set_up);
        for (const ChannelSetUp& channel : set_up.channels)
            if (channel.port >= set_up.ports.size())
                throw BadInput("a channel names port " + std::to_string(channel.port) + ", and there are only " +
                               std::to_string(set_up.ports.size()));
    } catch (const BadInput& error) {
        throw BadInput(name_for_errors + ": " + error.what());
    }
    return set_up;
}

}  // namespace halfturn
