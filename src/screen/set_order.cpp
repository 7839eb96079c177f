#include "screen/set_order.hpp"

#include <algorithm>
#include <array>

#include "core/json_writer.hpp"
#include "screen/job_form.hpp"

namespace halfturn::screen {
namespace {

constexpr std::array<std::string_view, 4> of_one_seat = {"bore_mm", "bore_u_um", "outside_mm", "outside_u_um"};

std::string text_of(const JsonValue& form, std::string_view key) {
    const JsonValue* value = form.find(key);
    return value ? trimmed(value->text()) : std::string();
}

template <class Items, class Item>
bool holds(const Items& items, const Item& item) {
    return std::find(items.begin(), items.end(), item) != items.end();
}

}  // namespace

std::vector<SetSeat> seats_in_order(const JsonValue& form) {
    std::vector<SetSeat> out;
    const std::string order = text_of(form, seats_key), own_item = text_of(form, "item");
    for (std::string_view rest = order; !rest.empty();) {
        const auto comma = rest.find(',');
        const std::string one = trimmed(rest.substr(0, comma));
        rest.remove_prefix(comma == std::string_view::npos ? rest.size() : comma + 1);
        if (one.empty()) continue;
        const auto slash = one.find('/');
        if (slash == std::string::npos) out.push_back({own_item, one});
        else out.push_back({trimmed(one.substr(0, slash)), trimmed(one.substr(slash + 1))});
    }
    return out;
}

std::optional<std::string> next_form_of_set(const JsonValue& form, const std::vector<SetSeat>& done) {
    const std::vector<SetSeat> order = seats_in_order(form);
    const auto next = std::find_if(order.begin(), order.end(), [&](const SetSeat& one) { return !holds(done, one); });
    if (next == order.end()) return {};
    JsonWriter json;
    json.object();
    for (const auto& [name, value] : form.members()) {
        if (name == "item" || name == "seat" || holds(of_one_seat, std::string_view(name))) continue;
        if (name == seats_key) {
            // Written out in full, as the form's own item changes on the way.
            std::string full;
            for (const SetSeat& one : order)
                full += (full.empty() ? "" : ", ") + (one.item.empty() ? one.seat : one.item + " / " + one.seat);
            json.put(name, full);
        } else {
            json.put(name, name == "access" && value.text() == "past-spacer" ? std::string("unknown") : value.text());
        }
    }
    return json.put("item", next->item).put("seat", next->seat).end().take();
}

}  // namespace halfturn::screen
