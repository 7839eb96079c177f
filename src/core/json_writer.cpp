#include "core/json_writer.hpp"

#include "core/number_text.hpp"
#include "core/utf8.hpp"

namespace halfturn {

std::string json_quoted(std::string_view text) {
    const std::string safe = as_utf8(text);
    std::string out = "\"";
    for (const char c : safe) {
        switch (c) {
            case '"': out += "\\\""; break;
            case '\\': out += "\\\\"; break;
            case '\n': out += "\\n"; break;
            case '\r': out += "\\r"; break;
            case '\t': out += "\\t"; break;
            default:
                if (static_cast<unsigned char>(c) < 0x20) {
                    constexpr char hex[] = "0123456789abcdef";
                    out += "\\u00";
                    out += hex[(c >> 4) & 0xF];
                    out += hex[c & 0xF];
                } else out += c;
        }
    }
    return out += '"';
}

void JsonWriter::line_break() {
    if (indent_ == 0) return;
    out_ += '\n';
    out_.append(levels_.size() * static_cast<std::size_t>(indent_), ' ');
}

void JsonWriter::before_value() {
    if (after_key_) {
        after_key_ = false;
        return;
    }
    if (levels_.empty()) return;
    if (levels_.back().has_items) out_ += ',';
    levels_.back().has_items = true;
    line_break();
}

JsonWriter& JsonWriter::object() {
    before_value();
    out_ += '{';
    levels_.push_back({'}', false});
    return *this;
}

JsonWriter& JsonWriter::array() {
    before_value();
    out_ += '[';
    levels_.push_back({']', false});
    return *this;
}

JsonWriter& JsonWriter::end() {
    const Level level = levels_.back();
    levels_.pop_back();
    if (level.has_items) line_break();
    out_ += level.closing;
    return *this;
}

JsonWriter& JsonWriter::key(std::string_view name) {
    before_value();
    out_ += json_quoted(name);
    out_ += indent_ ? ": " : ":";
    after_key_ = true;
    return *this;
}

JsonWriter& JsonWriter::raw(std::string_view ready_json) {
    before_value();
    out_ += ready_json;
    return *this;
}

JsonWriter& JsonWriter::text(std::string_view value) { return raw(json_quoted(value)); }
JsonWriter& JsonWriter::number(double value) { return raw(number_text(value)); }
JsonWriter& JsonWriter::integer(std::int64_t value) { return raw(std::to_string(value)); }
JsonWriter& JsonWriter::boolean(bool value) { return raw(value ? "true" : "false"); }
JsonWriter& JsonWriter::null() { return raw("null"); }

std::string JsonWriter::take() {
    std::string done;
    done.swap(out_);
    levels_.clear();
    after_key_ = false;
    return done;
}

}  // namespace halfturn
