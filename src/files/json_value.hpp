// JSON read strictly and exactly: numbers stay the text they were, so that a double comes back with the same bits
// (Boost.JSON 1.81 rounds some in the last place). Read with Boost.JSON's parser, written with JsonWriter.
//   const JsonValue line = JsonValue::parse(text, "press.jsonl line 12");
//   if (const JsonValue* hex = line.find("hex")) bytes = hex->text();
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace halfturn {

class JsonValue {
public:
    enum class Kind : std::uint8_t { null, boolean, number, text, array, object };

    // One whole value and nothing after it; UTF-8, no comments, no repeated key, at most 32 levels deep.
    // Throws BadInput naming `name_for_errors` and the byte.
    static JsonValue parse(std::string_view text, const std::string& name_for_errors);

    Kind kind() const { return kind_; }
    bool is_null() const { return kind_ == Kind::null; }

    // Each throws BadInput when the value is of another kind or can't be held exactly in the type.
    bool boolean() const;
    double number() const;          // correctly rounded; also from the texts "nan", "inf" and "-inf"
    std::int64_t integer() const;
    const std::string& text() const;
    const std::string& number_as_text() const;
    const std::vector<JsonValue>& items() const;                             // of an array
    const std::vector<std::pair<std::string, JsonValue>>& members() const;   // of an object, in order

    const JsonValue* find(std::string_view key) const;  // nothing when missing or not an object
    const JsonValue& at(std::string_view key) const;    // throws BadInput naming the key when missing

private:
    friend struct JsonBuilder;
    Kind kind_ = Kind::null;
    bool boolean_ = false;
    std::string text_;  // a text, or a number as written
    std::vector<JsonValue> items_;
    std::vector<std::pair<std::string, JsonValue>> members_;
};

}  // namespace halfturn
