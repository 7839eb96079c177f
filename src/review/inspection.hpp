// What was found on the bench when somebody looked at a seat: which gauge, how large the bore, what was seen, what was
// decided. Kept as a chained entry of the kind "inspection", by item and seat, with or without a job.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace halfturn::review {

enum class SeenOnSeat : std::uint8_t { clean, scored, corroded, cracked };
std::string_view seen_name(SeenOnSeat seen);  // "clean", …
std::optional<SeenOnSeat> seen_from_name(std::string_view name);

enum class Decision : std::uint8_t { reuse, rework, bond, scrap };
std::string_view decision_name(Decision decision);  // "reuse", …
std::optional<Decision> decision_from_name(std::string_view name);

struct Inspection {
    std::string gauge;                  // which one: "bore gauge 12"
    std::optional<double> bore_mm;      // mean diameter of the seat
    std::optional<double> bore_u_um;    // its standard uncertainty (k = 1)
    std::vector<SeenOnSeat> seen;             // clean alone, or any of the others
    std::optional<bool> turns_freely;   // the bearing, by hand
    std::optional<Decision> decision;
    std::string photo;                  // SHA-256 of a photo in the store, 64 hex digits; empty: none
    std::string text;
};

// Throws BadInput when it says nothing, contradicts itself (clean and cracked), gives an uncertainty without a size, a size
// without a gauge, or a value outside 1 to 1000 mm and 0.01 to 1000 um.
void check_inspection(const Inspection& inspection);

// Keys: gauge, bore_mm, bore_u_um, seen[], turns_freely, decision, photo, text; what is not known is null or empty.
std::string inspection_json(const Inspection& inspection);
// Throws BadInput for what inspection_json could not have written.
Inspection inspection_from_json(std::string_view json);

// "bore 27.991 mm (u 2 um) by bore gauge 12; scored; turns freely; rework; text"
std::string inspection_words(const Inspection& inspection);

}  // namespace halfturn::review
