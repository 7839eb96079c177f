// Reads setups.txt, the table of set-ups with known answers.
#pragma once

#include <catch2/catch.hpp>
#include <fstream>
#include <optional>
#include <sstream>
#include <string>
#include <vector>

struct SetUpCase {
    std::string name, answer, job, inventory, rig;
    std::vector<std::string> because, notes, parts;  // ids of the reasons, of notes; "drift=NAME"
};

inline std::vector<std::string> split(const std::string& text) {
    std::vector<std::string> list;
    std::istringstream in(text);
    for (std::string item; std::getline(in, item, ',');) {
        item.erase(0, item.find_first_not_of(' '));
        item.erase(item.find_last_not_of(' ') + 1);
        if (!item.empty()) list.push_back(item);
    }
    return list;
}

inline std::vector<SetUpCase> read_setup_cases() {
    std::ifstream in(HALFTURN_TESTS_DIR "/plan/setups.txt");
    REQUIRE(in);
    std::vector<SetUpCase> cases;
    std::string common_inventory, common_rig;
    std::string* into = nullptr;
    for (std::string line; std::getline(in, line);) {
        const auto after = [&](const char* key) -> std::optional<std::string> {
            const std::string start = std::string(key) + ":";
            if (!line.starts_with(start)) return std::nullopt;
            return line.substr(std::min(line.size(), start.size() + 1));
        };
        if (line.starts_with("== ")) {
            cases.push_back({});
            cases.back().name = line.substr(3);
            into = nullptr;
        } else if (cases.empty()) {
            if (line == "inventory:") into = &common_inventory;
            else if (line == "rig:") into = &common_rig;
            else if (into) *into += line + "\n";
        } else if (auto answer = after("answer")) {
            cases.back().answer = *answer;
        } else if (auto because = after("because")) {
            cases.back().because = split(*because);
        } else if (auto notes = after("notes")) {
            cases.back().notes = split(*notes);
        } else if (auto parts = after("parts")) {
            cases.back().parts = split(*parts);
        } else if (line == "job:") {
            into = &cases.back().job;
        } else if (line == "inventory:") {
            into = &cases.back().inventory;
        } else if (line == "rig:") {
            into = &cases.back().rig;
        } else if (into) {
            *into += line + "\n";
        }
    }
    for (auto& one : cases) {
        if (one.inventory.empty()) one.inventory = common_inventory;
        if (one.rig.empty()) one.rig = common_rig;
    }
    return cases;
}
