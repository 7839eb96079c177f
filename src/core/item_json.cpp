#include "core/item_json.hpp"

#include "core/json_writer.hpp"

namespace halfturn {
namespace {

std::string_view limit_name(Limit limit) {
    switch (limit) {
        case Limit::under: return "under";
        case Limit::go: return "go";
        case Limit::over: return "over";
        case Limit::none: break;
    }
    return "";
}

void put_if(JsonWriter& json, std::string_view key, std::string_view text) {
    if (!text.empty()) json.put(key, text);
}

void put_remark(JsonWriter& json, const Remark& remark) {
    if (!remark.key.empty()) json.put(remark.key, remark.text);
}

void write(JsonWriter& json, const Reading& reading, const Format& format) {
    json.put("t", "reading").put("value", to_text(reading.value)).put("unit", unit_name(reading.unit));
    json.put("q", quantity_name(quantity_of(reading, format)));
    if (reading.stable) json.put("stable", *reading.stable);
    put_if(json, "kind", kind_name(reading.kind));
    put_if(json, "judge", limit_name(reading.judged));
    put_if(json, "channel", reading.channel.view());
    if (reading.decimal_comma) json.put("decimal_comma", true);
    if (reading.negative_zero) json.put("neg_zero", true);
    if (reading.high_resolution) json.put("hires", true);
    if (reading.centre_of_zero) json.put("zero", true);
    if (reading.suspect == Suspect::power_of_two_less_one) json.put("suspect", "2^n-1");
    if (reading.suspect == Suspect::all_ones) json.put("suspect", "all_ones");
    const auto time = static_cast<std::int64_t>(reading.device_time);
    if (reading.clock == DeviceClock::us) json.put("ts_us", time);
    if (reading.clock == DeviceClock::ms) json.put("ts_ms", time);
    if (reading.clock == DeviceClock::raw) json.put("ts_raw", time);
    if (reading.unwrapped) json.put("unwrapped", std::to_string(*reading.unwrapped));
    put_if(json, "order", reading.byte_order);
}

void write(JsonWriter& json, const Fault& fault, const Format&) {
    json.put("t", "fault").put("code", fault_name(fault.code));
    put_if(json, "detail", fault.detail);
    put_if(json, "channel", fault.channel.view());
    put_remark(json, fault.remark);
}

void write(JsonWriter& json, const Reject& reject, const Format&) {
    json.put("t", "reject").put("reason", reject.reason);
    put_if(json, "detail", reject.detail);
}

void write(JsonWriter& json, const Info& info, const Format&) {
    json.put("t", "info").put("what", info.what);
    put_if(json, "text", info.text);
    put_remark(json, info.remark);
}

}  // namespace

Quantity quantity_of(const Reading& reading, const Format& format) {
    const Quantity of_unit = quantity_of(reading.unit);
    const bool mass_for_force = of_unit == Quantity::mass && format.measures == Quantity::force;
    if (reading.unit_from_settings && (of_unit == Quantity::none || mass_for_force)) return format.measures;
    return of_unit;
}

std::string item_json(const Item& item, const Format& format) {
    JsonWriter json;
    json.object();
    std::visit([&](const auto& it) { write(json, it, format); }, item);
    json.end();
    return json.take();
}

}  // namespace halfturn
