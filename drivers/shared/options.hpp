// Reads a format's settings strictly: a key the format does not know, or a value it can't use, is a BadInput that names the
// format, the key and what was expected. Not a format itself.
#pragma once

#include <cstdint>
#include <initializer_list>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/decimal.hpp"
#include "core/failure.hpp"
#include "core/format.hpp"

namespace halfturn {

// "true" or "false", also in capitals; else nothing.
std::optional<bool> flag_from(std::string_view word);

class Options {
public:
    // Throws BadInput for a key that is not one of the format's settings, "unit" or "poll", and for a unit that is none.
    Options(const Format& format, const Settings& settings);

    std::optional<std::string_view> text(std::string_view key) const;
    // "unit", any name of the contracts; none when it is not set.
    Unit unit() const;
    // "decimal": point, comma or auto.
    DecimalMark decimal(DecimalMark usual) const;
    // Which of the allowed words, counted from 0.
    std::size_t choice(std::string_view key, std::initializer_list<std::string_view> allowed, std::size_t usual) const;
    std::int64_t integer(std::string_view key, std::int64_t low, std::int64_t high, std::int64_t usual) const;
    // A decimal number above 0, kept exact.
    Decimal positive(std::string_view key, Decimal usual) const;
    bool flag(std::string_view key, bool usual) const;
    // Comma-separated words; empty when it is not set.
    std::vector<std::string_view> list(std::string_view key) const;
    // "compression_sign": + or -. The value stays as printed; the setting is for the record and the rig's sign.
    void compression_sign() const;

    [[nodiscard]] BadInput error(std::string_view key, std::string_view expected) const;

private:
    const Format& format_;
    const Settings& settings_;
};

}  // namespace halfturn
