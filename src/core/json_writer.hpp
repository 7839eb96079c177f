// Writes JSON as the contracts want it: keys in the order given, numbers shortest and without NaN (null instead).
//   JsonWriter json;  json.object().key("call").text("look-closer").key("peak_N").number(812.5).end();  json.take();
// (Reading JSON is Boost.JSON's; its writer prints 1E0 for 1, which the contracts do not allow.)
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace halfturn {

class JsonWriter {
public:
    // indent 0 writes one line; otherwise each value stands on its own line.
    explicit JsonWriter(int indent = 0) : indent_(indent) {}

    JsonWriter& object();  // ended by end()
    JsonWriter& array();   // ended by end()
    JsonWriter& end();
    JsonWriter& key(std::string_view name);
    JsonWriter& text(std::string_view value);
    JsonWriter& number(double value);
    JsonWriter& integer(std::int64_t value);
    JsonWriter& boolean(bool value);
    JsonWriter& null();
    JsonWriter& raw(std::string_view ready_json);  // one value, already JSON

    // Shorthands for a key with its value.
    JsonWriter& put(std::string_view name, std::string_view value) { return key(name).text(value); }
    JsonWriter& put(std::string_view name, const char* value) { return key(name).text(value); }
    JsonWriter& put(std::string_view name, double value) { return key(name).number(value); }
    JsonWriter& put(std::string_view name, int value) { return key(name).integer(value); }
    JsonWriter& put(std::string_view name, std::int64_t value) { return key(name).integer(value); }
    JsonWriter& put(std::string_view name, bool value) { return key(name).boolean(value); }

    std::string take();  // the text so far; the writer starts again empty

private:
    void before_value();
    void line_break();

    struct Level {
        char closing;
        bool has_items;
    };
    std::string out_;
    std::vector<Level> levels_;
    bool after_key_ = false;
    int indent_;
};

// The text with JSON's escapes and surrounding quotes. Bytes that are not valid UTF-8 become U+FFFD.
std::string json_quoted(std::string_view text);

}  // namespace halfturn
