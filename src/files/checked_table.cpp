#include "files/checked_table.hpp"

#include <algorithm>
#include <map>
#include <set>
#include <stdexcept>

// toml++ 3.3 asserts, or with NDEBUG assumes, that a key follows "[[" and ".": "[[.x]]" would end the program. A failed
// assertion is bad input like any other.
#undef NDEBUG
[[noreturn]] static void toml_assertion_failed();
#define TOML_ASSERT(expr) ((expr) ? static_cast<void>(0) : toml_assertion_failed())
#define TOML_EXCEPTIONS 1
#include <toml++/toml.h>

#include "core/failure.hpp"
#include "core/nearest_word.hpp"
#include "core/number_text.hpp"
#include "files/whole_file.hpp"

static void toml_assertion_failed() { throw std::logic_error("a key was expected, a name of letters, digits, - and _"); }

namespace halfturn {

struct CheckedTable::Node {
    std::shared_ptr<toml::table> root;  // keeps the whole document alive
    const toml::table* table = nullptr;
    std::string file;
    std::string path;           // "bearing." for keys inside [bearing]
    std::uint32_t line = 0;     // where this table begins, for missing keys
    std::set<std::string, std::less<>> asked;
    std::map<std::string, std::vector<std::shared_ptr<Node>>, std::less<>> children;

    const toml::node* find(std::string_view key) {
        asked.emplace(key);
        return table ? table->get(key) : nullptr;
    }
};

namespace {

std::string describe(const toml::node& node) {
    if (const auto* text = node.as_string()) return "the text \"" + text->get() + "\"";
    if (node.is_integer()) return "the whole number " + std::to_string(node.as_integer()->get());
    if (node.is_floating_point()) return "the number " + number_text(node.as_floating_point()->get());
    if (node.is_boolean()) return node.as_boolean()->get() ? "true" : "false";
    if (node.is_array()) return "a list";
    if (node.is_table()) return "a table";
    return "a date or time";
}

std::string list_of(std::initializer_list<std::string_view> words) {
    std::string out;
    std::size_t i = 0;
    for (const auto word : words) {
        if (i > 0) out += i + 1 == words.size() ? " or " : ", ";
        out += "\"" + std::string(word) + "\"";
        ++i;
    }
    return out;
}

std::optional<double> as_double(const toml::node& node) {
    if (const auto* whole = node.as_integer()) return static_cast<double>(whole->get());
    if (const auto* real = node.as_floating_point()) return real->get();
    return {};
}

}  // namespace

CheckedTable CheckedTable::from_file(const std::string& path) { return from_text(whole_file(path), path); }

CheckedTable CheckedTable::from_text(std::string_view text, const std::string& name_for_errors) {
    auto node = std::make_shared<Node>();
    node->file = name_for_errors;
    try {
        node->root = std::make_shared<toml::table>(toml::parse(text, std::string_view(name_for_errors)));
    } catch (const toml::parse_error& error) {
        throw BadInput(name_for_errors + ":" + std::to_string(error.source().begin.line) + ": not valid TOML: " +
                       std::string(error.description()) + "; `halfturn example` prints a file to start from");
    } catch (const std::logic_error& error) {
        throw BadInput(name_for_errors + ": not valid TOML: " + error.what() + "; look for a stray \"[\" or \".\"; `halfturn example` prints a file to start from");
    }
    node->table = node->root.get();
    node->line = 1;
    return CheckedTable(std::move(node));
}

bool CheckedTable::has(std::string_view key) const { return node_->find(key) != nullptr; }

bool CheckedTable::is_unknown(std::string_view key) const {
    const auto* found = node_->find(key);
    return found && found->is_string() && found->as_string()->get() == "unknown";
}

std::vector<std::string> CheckedTable::keys() const {
    std::vector<std::string> names;
    if (node_->table)
        for (const auto& [key, value] : *node_->table) names.emplace_back(key.str());
    return names;
}

BadInput CheckedTable::error(std::string_view key, const std::string& what) const {
    const toml::node* found = node_->table ? node_->table->get(key) : nullptr;
    const auto line = found ? found->source().begin.line : node_->line;
    return BadInput(node_->file + ":" + std::to_string(line) + ": " + node_->path + std::string(key) + " " + what);
}

std::optional<std::string> CheckedTable::text_if(std::string_view key) const {
    const auto* found = node_->find(key);
    if (!found) return {};
    if (!found->is_string()) throw error(key, "must be a text in quotes, but is " + describe(*found));
    return found->as_string()->get();
}

std::optional<double> CheckedTable::number_if(std::string_view key, double low, double high) const {
    const auto* found = node_->find(key);
    if (!found) return {};
    const auto value = as_double(*found);
    const std::string range = "from " + number_text(low) + " to " + number_text(high);
    if (!value) throw error(key, "must be a number " + range + ", but is " + describe(*found));
    if (!(*value >= low && *value <= high))
        throw error(key, "must be " + range + ", but is " + number_text(*value));
    return value;
}

std::optional<std::int64_t> CheckedTable::integer_if(std::string_view key, std::int64_t low, std::int64_t high) const {
    const auto* found = node_->find(key);
    if (!found) return {};
    const std::string range = "a whole number from " + std::to_string(low) + " to " + std::to_string(high);
    if (!found->is_integer()) throw error(key, "must be " + range + ", but is " + describe(*found));
    const std::int64_t value = found->as_integer()->get();
    if (value < low || value > high) throw error(key, "must be " + range + ", but is " + std::to_string(value));
    return value;
}

std::optional<bool> CheckedTable::boolean_if(std::string_view key) const {
    const auto* found = node_->find(key);
    if (!found) return {};
    if (!found->is_boolean()) throw error(key, "must be true or false, but is " + describe(*found));
    return found->as_boolean()->get();
}

std::optional<std::string> CheckedTable::choice_if(std::string_view key,
                                                   std::initializer_list<std::string_view> allowed) const {
    const auto value = text_if(key);
    if (!value) return {};
    if (std::find(allowed.begin(), allowed.end(), *value) == allowed.end()) {
        const std::string near = nearest_word(*value, std::vector<std::string>(allowed.begin(), allowed.end()));
        throw error(key, "must be " + list_of(allowed) + ", but is \"" + *value + "\"" +
                             (near.empty() ? "" : "; did you mean \"" + near + "\"?"));
    }
    return value;
}

std::vector<double> CheckedTable::numbers_if(std::string_view key) const {
    const auto* found = node_->find(key);
    if (!found) return {};
    if (!found->is_array()) throw error(key, "must be a list of numbers, but is " + describe(*found));
    std::vector<double> values;
    for (const auto& item : *found->as_array()) {
        const auto value = as_double(item);
        if (!value) throw error(key, "must be a list of numbers, but holds " + describe(item));
        values.push_back(*value);
    }
    return values;
}

std::vector<std::string> CheckedTable::texts_if(std::string_view key) const {
    const auto* found = node_->find(key);
    if (!found) return {};
    if (!found->is_array()) throw error(key, "must be a list of texts, but is " + describe(*found));
    std::vector<std::string> values;
    for (const auto& item : *found->as_array()) {
        if (!item.is_string()) throw error(key, "must be a list of texts, but holds " + describe(item));
        values.push_back(item.as_string()->get());
    }
    return values;
}

std::string CheckedTable::text(std::string_view key) const {
    auto value = text_if(key);
    if (!value) throw error(key, "is missing; add it as a text in quotes");
    return *std::move(value);
}

double CheckedTable::number(std::string_view key, double low, double high) const {
    const auto value = number_if(key, low, high);
    if (!value) throw error(key, "is missing; add it as a number from " + number_text(low) + " to " + number_text(high));
    return *value;
}

std::string CheckedTable::choice(std::string_view key, std::initializer_list<std::string_view> allowed) const {
    auto value = choice_if(key, allowed);
    if (!value) throw error(key, "is missing; it must be " + list_of(allowed));
    return *std::move(value);
}

std::optional<double> CheckedTable::number_or_unknown(std::string_view key, double low, double high) const {
    const auto* found = node_->find(key);
    if (!found || is_unknown(key)) return {};
    if (found->is_string())
        throw error(key, "must be a number from " + number_text(low) + " to " + number_text(high) +
                             " or \"unknown\", but is " + describe(*found));
    return number_if(key, low, high);
}

CheckedTable CheckedTable::table(std::string_view key) const {
    const auto* found = node_->find(key);
    if (found && !found->is_table())
        throw error(key, "must be a table, written [" + node_->path + std::string(key) + "], but is " + describe(*found));
    auto& known = node_->children[std::string(key)];
    if (known.empty()) {
        auto child = std::make_shared<Node>();
        child->root = node_->root;
        child->table = found ? found->as_table() : nullptr;
        child->file = node_->file;
        child->path = node_->path + std::string(key) + ".";
        child->line = found ? found->source().begin.line : node_->line;
        known.push_back(std::move(child));
    }
    return CheckedTable(known.front());
}

std::vector<CheckedTable> CheckedTable::tables(std::string_view key) const {
    const auto* found = node_->find(key);
    std::vector<CheckedTable> out;
    if (!found) return out;
    const auto* array = found->as_array();
    const bool all_tables = array && std::all_of(array->begin(), array->end(), [](const auto& n) { return n.is_table(); });
    if (!all_tables)
        throw error(key, "must be one or more tables, each written [[" + node_->path + std::string(key) + "]]");
    auto& known = node_->children[std::string(key)];
    if (known.empty()) {
        for (const auto& item : *array) {
            auto child = std::make_shared<Node>();
            child->root = node_->root;
            child->table = item.as_table();
            child->file = node_->file;
            child->path = node_->path + std::string(key) + ".";
            child->line = item.source().begin.line;
            known.push_back(std::move(child));
        }
    }
    for (const auto& child : known) out.push_back(CheckedTable(child));
    return out;
}

std::string CheckedTable::scalar_as_text(std::string_view key) const {
    const auto* found = node_->find(key);
    if (!found) throw error(key, "is missing");
    if (found->is_string()) return found->as_string()->get();
    if (found->is_boolean()) return found->as_boolean()->get() ? "true" : "false";
    if (found->is_integer()) return std::to_string(found->as_integer()->get());
    if (const auto value = as_double(*found)) return number_text(*value);
    throw error(key, "must be a text, a number or true/false, but is " + describe(*found));
}

void CheckedTable::refuse_unknown_keys() const {
    const auto walk = [](const auto& self, const Node& node) -> void {
        if (node.table) {
            for (const auto& [key, value] : *node.table) {
                if (node.asked.contains(key.str())) continue;
                const std::vector<std::string> valid(node.asked.begin(), node.asked.end());
                const std::string near = nearest_word(key.str(), valid);
                std::string message = node.file + ":" + std::to_string(key.source().begin.line) + ": " + node.path +
                                      std::string(key.str()) + " is not a key that is known here";
                if (!near.empty()) message += "; did you mean " + near + "?";
                else {
                    message += "; known are";
                    for (std::size_t i = 0; i < valid.size(); ++i) message += (i ? ", " : " ") + valid[i];
                }
                throw BadInput(message);
            }
        }
        for (const auto& [name, list] : node.children)
            for (const auto& child : list) self(self, *child);
    };
    walk(walk, *node_);
}

}  // namespace halfturn
