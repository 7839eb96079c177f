#include "files/json_value.hpp"

#include <boost/json/basic_parser_impl.hpp>
#include <charconv>
#include <limits>

#include "core/failure.hpp"
#include "core/number_text.hpp"

namespace halfturn {

// Boost.JSON calls these as it reads; the tree grows on a stack of unfinished arrays and objects.
struct JsonBuilder {
    static constexpr std::size_t max_array_size = std::numeric_limits<std::size_t>::max();
    static constexpr std::size_t max_object_size = std::numeric_limits<std::size_t>::max();
    static constexpr std::size_t max_string_size = std::numeric_limits<std::size_t>::max();
    static constexpr std::size_t max_key_size = std::numeric_limits<std::size_t>::max();
    using error_code = boost::json::error_code;
    using string_view = boost::json::string_view;

    JsonValue root;
    std::vector<JsonValue> open;
    std::vector<std::string> keys;  // of the open objects, the key now being filled
    std::string part;               // of a key, text or number that comes in pieces
    std::string repeated_key;

    void put(JsonValue value) {
        if (open.empty()) root = std::move(value);
        else if (open.back().kind_ == JsonValue::Kind::array) open.back().items_.push_back(std::move(value));
        else open.back().members_.emplace_back(std::move(keys.back()), std::move(value));
    }
    void put_scalar(JsonValue::Kind kind, std::string text, bool boolean = false) {
        JsonValue value;
        value.kind_ = kind;
        value.text_ = std::move(text);
        value.boolean_ = boolean;
        put(std::move(value));
    }
    void start(JsonValue::Kind kind) {
        open.emplace_back();
        open.back().kind_ = kind;
        if (kind == JsonValue::Kind::object) keys.emplace_back();
    }
    void finish() {
        JsonValue done = std::move(open.back());
        open.pop_back();
        if (done.kind_ == JsonValue::Kind::object) keys.pop_back();
        put(std::move(done));
    }
    std::string whole(string_view last) {
        part.append(last.data(), last.size());
        return std::exchange(part, {});
    }
    bool add_part(string_view piece) {
        part.append(piece.data(), piece.size());
        return true;
    }

    bool on_document_begin(error_code&) { return true; }
    bool on_document_end(error_code&) { return true; }
    bool on_array_begin(error_code&) { return start(JsonValue::Kind::array), true; }
    bool on_array_end(std::size_t, error_code&) { return finish(), true; }
    bool on_object_begin(error_code&) { return start(JsonValue::Kind::object), true; }
    bool on_object_end(std::size_t, error_code&) { return finish(), true; }
    bool on_string_part(string_view piece, std::size_t, error_code&) { return add_part(piece); }
    bool on_string(string_view last, std::size_t, error_code&) {
        return put_scalar(JsonValue::Kind::text, whole(last)), true;
    }
    bool on_key_part(string_view piece, std::size_t, error_code&) { return add_part(piece); }
    bool on_key(string_view last, std::size_t, error_code& error) {
        keys.back() = whole(last);
        for (const auto& member : open.back().members_) {
            if (member.first != keys.back()) continue;
            repeated_key = keys.back();
            error = boost::json::error::syntax;
            return false;
        }
        return true;
    }
    bool on_number_part(string_view piece, error_code&) { return add_part(piece); }
    bool on_int64(std::int64_t, string_view last, error_code&) { return on_number(last); }
    bool on_uint64(std::uint64_t, string_view last, error_code&) { return on_number(last); }
    bool on_double(double, string_view last, error_code&) { return on_number(last); }
    bool on_number(string_view last) { return put_scalar(JsonValue::Kind::number, whole(last)), true; }
    bool on_bool(bool value, error_code&) { return put_scalar(JsonValue::Kind::boolean, {}, value), true; }
    bool on_null(error_code&) { return put_scalar(JsonValue::Kind::null, {}), true; }
    bool on_comment_part(string_view, error_code&) { return true; }
    bool on_comment(string_view, error_code&) { return true; }
};

namespace {

const char* kind_name(JsonValue::Kind kind) {
    switch (kind) {
        case JsonValue::Kind::null: return "null";
        case JsonValue::Kind::boolean: return "true or false";
        case JsonValue::Kind::number: return "a number";
        case JsonValue::Kind::text: return "a text";
        case JsonValue::Kind::array: return "a list";
        default: return "an object";
    }
}

void need(JsonValue::Kind is, JsonValue::Kind wanted) {
    if (is != wanted) throw BadInput(std::string("expected ") + kind_name(wanted) + ", found " + kind_name(is));
}

}  // namespace

JsonValue JsonValue::parse(std::string_view text, const std::string& name_for_errors) {
    boost::json::parse_options options;
    options.max_depth = 32;
    boost::json::basic_parser<JsonBuilder> parser(options);
    boost::json::error_code error;
    const std::size_t used = parser.write_some(false, text.data(), text.size(), error);
    if (!error && used < text.size()) error = boost::json::error::extra_data;
    if (error) {
        std::string what = error.message();
        if (!parser.handler().repeated_key.empty()) what = "the key \"" + parser.handler().repeated_key + "\" stands there twice";
        throw BadInput(name_for_errors + ": not valid JSON near byte " + std::to_string(used) + ": " + what);
    }
    return std::move(parser.handler().root);
}

bool JsonValue::boolean() const {
    need(kind_, Kind::boolean);
    return boolean_;
}

double JsonValue::number() const {
    if (kind_ == Kind::text) {
        if (text_ == "nan") return std::numeric_limits<double>::quiet_NaN();
        if (text_ == "inf") return std::numeric_limits<double>::infinity();
        if (text_ == "-inf") return -std::numeric_limits<double>::infinity();
    }
    need(kind_, Kind::number);
    const auto value = parse_number(text_);
    if (!value) throw BadInput("the number " + text_ + " is out of range");
    return *value;
}

std::int64_t JsonValue::integer() const {
    need(kind_, Kind::number);
    const auto value = parse_integer(text_);
    if (!value) throw BadInput("expected a whole number, found " + text_);
    return *value;
}

const std::string& JsonValue::text() const {
    need(kind_, Kind::text);
    return text_;
}

const std::string& JsonValue::number_as_text() const {
    need(kind_, Kind::number);
    return text_;
}

const std::vector<JsonValue>& JsonValue::items() const {
    need(kind_, Kind::array);
    return items_;
}

const std::vector<std::pair<std::string, JsonValue>>& JsonValue::members() const {
    need(kind_, Kind::object);
    return members_;
}

const JsonValue* JsonValue::find(std::string_view key) const {
    for (const auto& member : members_)
        if (member.first == key) return &member.second;
    return nullptr;
}

const JsonValue& JsonValue::at(std::string_view key) const {
    if (const JsonValue* found = find(key)) return *found;
    throw BadInput("the key \"" + std::string(key) + "\" is missing");
}

}  // namespace halfturn
