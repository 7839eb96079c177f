// modbus-rtu: load-cell transmitters that answer "read registers" with one 32-bit value.
//
//     01 03 04 00 00 01 F4 FA 24       slave · function · bytes of data · data · CRC, low byte first
//     01 83 02 C0 F1                   exception: function + 80h and its number
//     type    int32 | float32 | u17_status: 17 bits of value without sign, 15 bits of status above them   (must be set)
//     status_faults   which status bits mean that the value may not be used, as a number (bit 17 counts 1, bit 18 counts 2 …)
//     order   abcd | cdab | badc | dcba: how the four bytes were arranged                     (must be set: no frame tells)
//     An answer to a longer request (setting poll: some blocks must be read whole) is read at its first two registers.
//     slave, function, address         whom to ask and what; slave 0 in answers means whoever was asked first
//
// Sources: Modbus over serial line V1.02 (frame, CRC; 02 07 gives 41 12), libmodbus tests (orders), register notes of public
// transmitter maps. Maps with status words, flags or decimals registers are written as descriptions: see `described`.
// Traps: pauses between frames can't be seen through a USB adapter: frames are found by length and CRC. Own echo on two-wire
// lines, a 00 byte when they turn around, other slaves' answers. NaN and infinities are faults. What the status bits of
// u17_status mean is in the transmitter's manual alone: without status_faults they are told whenever they change, and the
// value stands; overload may hide among them.
// Line: 19200 8E1 by the standard, 9600 8N1 in practice. Overload: the transmitter's own (a description's status word).
// Silence 1 s. Lag 0.1 s. At 9600 Bd at best 40 answers a second.
#include <vector>

#include "drivers/shared/modbus.hpp"
#include "drivers/shared/options.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn {

extern const Format format_modbus_rtu;

namespace {

enum class Type : std::uint8_t { int32, float32, u17_status };
constexpr std::size_t value_bytes = 4;
constexpr std::uint32_t status_shift = 17, value_mask = 0x1FFFF;
constexpr std::int64_t all_status_bits = 0x7FFF;

class ModbusRtu final : public Decoder {
public:
    explicit ModbusRtu(const Options& options)
        : answers_(static_cast<int>(options.integer("slave", 0, 247, 0)), value_bytes), unit_(options.unit()),
          status_faults_(static_cast<std::uint32_t>(options.integer("status_faults", 0, all_status_bits, 0))) {
        for (const auto& word : words(options, "type", "per_frame_type")) types_.push_back(type(options, word));
        for (const auto& word : words(options, "order", "per_frame_order")) orders_.push_back(order_named(options, word));
    }

    std::unique_ptr<Decoder> clone() const override { return std::make_unique<ModbusRtu>(*this); }
    void sent(std::string_view bytes, std::size_t unread) override { answers_.sent(bytes, unread); }

    std::size_t take(std::string_view head, bool, Items& items) override {
        std::optional<std::string_view> data;
        const std::size_t done = answers_.take(head, items, data);
        if (!data) return done;
        if (data->size() < value_bytes) {
            add_info(items, "registers", "");  // another register was asked for
            return done;
        }
        value(data->substr(0, value_bytes), items);
        ++frames_;
        return done;
    }

private:
    // The list for tests, or the one setting; one of them must be there.
    static std::vector<std::string_view> words(const Options& options, std::string_view key, std::string_view per_frame) {
        auto list = options.list(per_frame);
        if (list.empty()) list = options.list(key);
        if (list.empty())
            throw options.error(key, key == "type" ? "int32, float32 or u17_status, as the transmitter's manual says"
                                                   : "abcd, cdab, badc or dcba: read a known weight to find the right one");
        return list;
    }
    static Type type(const Options& options, std::string_view word) {
        if (word == "int32") return Type::int32;
        if (word == "float32") return Type::float32;
        if (word == "u17_status") return Type::u17_status;
        throw options.error("type", "int32, float32 or u17_status");
    }
    static modbus::Order order_named(const Options& options, std::string_view word) {
        for (std::size_t i = 0; i < 4; ++i)
            if (modbus::order_names[i] == word) return static_cast<modbus::Order>(i);
        throw options.error("order", "abcd, cdab, badc or dcba");
    }

    void value(std::string_view bytes, Items& items) {
        const modbus::Order order = orders_[frames_ % orders_.size()];
        const std::uint32_t bits = modbus::ordered(bytes, order);
        ParsedDecimal parsed;
        switch (types_[frames_ % types_.size()]) {
            case Type::int32: parsed.value = normalised(static_cast<std::int32_t>(bits), 0); break;
            case Type::u17_status:
                if (const std::uint32_t status = bits >> status_shift; status != status_) {
                    status_ = status;
                    add_info(items, "status", std::to_string(status));
                }
                if ((status_ & status_faults_) != 0)
                    return add_fault(items, FaultCode::device_error, "status " + std::to_string(status_));
                parsed.value = normalised(bits & value_mask, 0);
                break;
            case Type::float32: {
                const auto decimal = modbus::float_decimal(bits);
                if (!decimal) return add_fault(items, FaultCode::not_a_number, "not a finite number");
                parsed.value = *decimal;
                parsed.negative_zero = bits == 0x80000000u;
                if (decimal->exponent < 0) parsed.decimals = -decimal->exponent;
                break;
            }
        }
        add_reading_in_set_unit(items, parsed, unit_).byte_order = modbus::order_names[static_cast<std::size_t>(order)];
    }

    modbus::Answers answers_;
    Unit unit_;
    std::uint32_t status_faults_;
    std::uint32_t status_ = 0;  // newest, of u17_status
    std::vector<Type> types_;
    std::vector<modbus::Order> orders_;
    std::size_t frames_ = 0;
};

}  // namespace

const Format format_modbus_rtu = {
    .id = "modbus-rtu",
    .title = "Modbus RTU transmitters with one 32-bit value",
    .measures = Quantity::force,
    .line = {.baud = 9600, .bits = 8, .parity = Parity::none, .stop = 1, .dtr = true, .rts = true},
    .longest_frame = modbus::longest_frame,
    .silence_s = 1,
    .lag_s = 0.1,
    .poll = "",
    .poll_every_s = 0.03,
    .settings = {"unit", "type", "order", "slave", "function", "address", "status_faults", "per_frame_type", "per_frame_order"},
    .make = [](const Settings& settings, Start) -> std::unique_ptr<Decoder> {
        const Options options(format_modbus_rtu, settings);
        options.integer("function", 3, 4, 3);
        options.integer("address", 0, 65535, 0);
        return std::make_unique<ModbusRtu>(options);
    },
    .request = [](const Settings& settings) -> std::string {
        const Options options(format_modbus_rtu, settings);
        return modbus::read_request(static_cast<int>(options.integer("slave", 1, 247, 1)),
                                    static_cast<int>(options.integer("function", 3, 4, 3)),
                                    static_cast<int>(options.integer("address", 0, 65535, 0)), 2);
    },
};

}  // namespace halfturn
