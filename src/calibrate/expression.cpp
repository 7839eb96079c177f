#include "calibrate/expression.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <numbers>
#include <utility>

#include "core/failure.hpp"
#include "core/nearest_word.hpp"
#include "core/utf8.hpp"

namespace halfturn::calibrate {
namespace {

using Op = Expression::Op;

constexpr std::size_t longest_model = 10000;
constexpr int deepest_nesting = 200;  // far beyond any model, well inside the call stack

constexpr std::array<std::pair<std::string_view, Op>, 5> functions{
    {{"sqrt", Op::sqrt}, {"exp", Op::exp}, {"log", Op::log}, {"sin", Op::sin}, {"cos", Op::cos}}};
constexpr std::array<std::pair<std::string_view, char>, 5> signs{
    {{"×", '*'}, {"÷", '/'}, {"·", '*'}, {"⋅", '*'}, {"−", '-'}}};

class Parser {
public:
    Parser(std::string_view text, const std::vector<std::string>& names) : text_(text), names_(names) {}

    std::vector<Expression::Step> parse() {
        sum();
        if (sign() != 0 || at_ < text_.size()) throw fail("an operator like + or * is expected");
        return std::move(steps_);
    }

private:
    BadInput fail(const std::string& what) const {
        const std::size_t column = columns(as_utf8(text_.substr(0, std::min(at_, text_.size())))) + 1;
        return BadInput("the model \"" + as_utf8(text_) + "\", at character " + std::to_string(column) +
                        ": " + what);
    }

    void skip_blanks() {
        while (at_ < text_.size() &&
               (text_[at_] == ' ' || text_[at_] == '\t' || text_[at_] == '\n' || text_[at_] == '\r'))
            ++at_;
    }

    // The operator or bracket here, in its ASCII form, and its length in bytes; 0 for none.
    std::pair<char, std::size_t> sign_at(std::size_t at) const {
        if (at >= text_.size()) return {'\0', 0};
        if (std::string_view("+-*/^()").find(text_[at]) != std::string_view::npos) return {text_[at], 1};
        for (const auto& [utf8, ascii] : signs)
            if (text_.substr(at).starts_with(utf8)) return {ascii, utf8.size()};
        return {'\0', 0};
    }

    char sign() {
        skip_blanks();
        return sign_at(at_).first;
    }

    void take_sign() { at_ += sign_at(at_).second; }

    void emit(Op op) { steps_.push_back({op}); }

    void sum() {
        product();
        for (char s = sign(); s == '+' || s == '-'; s = sign()) {
            take_sign();
            product();
            emit(s == '+' ? Op::add : Op::subtract);
        }
    }

    void product() {
        signed_power();
        for (char s = sign(); s == '*' || s == '/'; s = sign()) {
            take_sign();
            if (s == '*' && sign() == '*') throw fail("write a power as ^");
            signed_power();
            emit(s == '*' ? Op::multiply : Op::divide);
        }
    }

    void signed_power() {
        if (++depth_ > deepest_nesting) throw fail("the model is nested too deeply");
        const char s = sign();
        if (s == '+' || s == '-') {
            take_sign();
            signed_power();
            if (s == '-') emit(Op::negate);
        } else {
            primary();
            if (sign() == '^') {
                take_sign();
                signed_power();
                emit(Op::power);
            }
        }
        --depth_;
    }

    void primary() {
        const char s = sign();
        if (s == '(') return bracket();
        if (s != 0) throw fail("a number, a name or a bracket is expected");
        if (at_ >= text_.size()) throw fail("the model ends where a number, a name or a bracket is expected");
        if ((text_[at_] >= '0' && text_[at_] <= '9') || text_[at_] == '.') return number();
        const std::size_t start = at_;
        while (at_ < text_.size() && sign_at(at_).second == 0 && is_name_byte(text_[at_])) ++at_;
        if (at_ == start) throw fail("this character has no meaning here");
        name(text_.substr(start, at_ - start), start);
    }

    static bool is_name_byte(char c) {
        return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' ||
               static_cast<unsigned char>(c) >= 0x80;
    }

    void bracket() {
        take_sign();
        sum();
        if (sign() != ')') throw fail("a closing bracket is expected");
        take_sign();
    }

    void number() {
        double value = 0;
        const auto result = std::from_chars(text_.data() + at_, text_.data() + text_.size(), value);
        if (result.ec != std::errc{}) throw fail("this is no number that can be held");
        at_ = static_cast<std::size_t>(result.ptr - text_.data());
        steps_.push_back({Op::number, value, 0});
    }

    void name(std::string_view word, std::size_t start) {
        const auto found = std::find(names_.begin(), names_.end(), word);
        if (found != names_.end()) {
            steps_.push_back({Op::input, 0, static_cast<std::size_t>(found - names_.begin())});
            return;
        }
        for (const auto& [function, op] : functions) {
            if (word != function) continue;
            if (sign() != '(') throw fail(std::string(word) + " needs its argument in brackets");
            bracket();
            emit(op);
            return;
        }
        if (word == "pi") {
            steps_.push_back({Op::number, std::numbers::pi, 0});
            return;
        }
        at_ = start;
        std::vector<std::string> known = names_;
        for (const auto& [function, op] : functions) known.emplace_back(function);
        const std::string near = nearest_word(word, known);
        if (word == "ln" || word == "log10")
            throw fail(as_utf8(word) + " is not known; log(x) is the natural logarithm, and log(x) / log(10) the one to base 10");
        throw fail("\"" + as_utf8(word) + "\" is neither an input nor a function (sqrt, exp, log, sin, cos)" +
                   (near.empty() ? "; add an [[input]] of that name" : "; did you mean " + near + "?"));
    }

    std::string_view text_;
    const std::vector<std::string>& names_;
    std::size_t at_ = 0;
    int depth_ = 0;
    std::vector<Expression::Step> steps_;
};

double apply(Op op, double a) {
    switch (op) {
        case Op::negate:
            return -a;
        case Op::sqrt:
            return std::sqrt(a);
        case Op::exp:
            return std::exp(a);
        case Op::log:
            return std::log(a);
        case Op::sin:
            return std::sin(a);
        case Op::cos:
            return std::cos(a);
        default:
            return a;
    }
}

double apply(Op op, double a, double b) {
    switch (op) {
        case Op::add:
            return a + b;
        case Op::subtract:
            return a - b;
        case Op::multiply:
            return a * b;
        case Op::divide:
            return a / b;
        case Op::power:
            return b == 2 ? a * a : std::pow(a, b);
        default:
            return a;
    }
}

bool takes_two(Op op) {
    return op == Op::add || op == Op::subtract || op == Op::multiply || op == Op::divide || op == Op::power;
}

// d(result)/d(a) and d(result)/d(b).
std::pair<double, double> partials(Op op, double a, double b, double result) {
    switch (op) {
        case Op::add:
            return {1, 1};
        case Op::subtract:
            return {1, -1};
        case Op::multiply:
            return {b, a};
        case Op::divide:
            return {1 / b, -result / b};
        default:
            return {b == 0 ? 0 : b * std::pow(a, b - 1), result * std::log(a)};
    }
}

double slope(Op op, double a, double result) {
    switch (op) {
        case Op::negate:
            return -1;
        case Op::sqrt:
            return 0.5 / result;
        case Op::exp:
            return result;
        case Op::log:
            return 1 / a;
        case Op::sin:
            return std::cos(a);
        case Op::cos:
            return -std::sin(a);
        default:
            return 1;
    }
}

}  // namespace

bool Expression::is_name(std::string_view word) {
    try {
        const auto steps = Parser(word, {std::string(word)}).parse();
        return steps.size() == 1 && steps.front().op == Op::input;
    } catch (const BadInput&) {
        return false;
    }
}

Expression Expression::parse(std::string_view text, const std::vector<std::string>& names) {
    if (text.size() > longest_model) throw BadInput("the model is longer than 10000 characters");
    Expression out;
    out.steps_ = Parser(text, names).parse();
    out.inputs_ = names.size();
    std::size_t depth = 0;
    for (const auto& step : out.steps_) {
        if (step.op == Op::number || step.op == Op::input)
            out.depth_ = std::max(out.depth_, ++depth);
        else if (takes_two(step.op))
            --depth;
    }
    return out;
}

double Expression::value(const std::vector<double>& inputs) const {
    std::vector<const double*> columns;
    columns.reserve(inputs.size());
    for (const double& input : inputs) columns.push_back(&input);
    double result = 0;
    values(columns, 1, &result);
    return result;
}

void Expression::values(const std::vector<const double*>& inputs, std::size_t count, double* results) const {
    std::vector<double> stack(depth_ * count);
    std::size_t top = 0;  // levels in use
    for (const auto& step : steps_) {
        if (step.op == Op::number || step.op == Op::input) {
            double* here = stack.data() + top++ * count;
            if (step.op == Op::number)
                std::fill(here, here + count, step.number);
            else
                std::copy(inputs[step.input], inputs[step.input] + count, here);
            continue;
        }
        if (takes_two(step.op)) {
            --top;
            const double* b = stack.data() + top * count;
            double* a = stack.data() + (top - 1) * count;
            for (std::size_t i = 0; i < count; ++i) a[i] = apply(step.op, a[i], b[i]);
        } else {
            double* a = stack.data() + (top - 1) * count;
            for (std::size_t i = 0; i < count; ++i) a[i] = apply(step.op, a[i]);
        }
    }
    std::copy(stack.data(), stack.data() + count, results);
}

Expression::Gradient Expression::gradient(const std::vector<double>& inputs) const {
    std::vector<Gradient> stack;
    for (const auto& step : steps_) {
        if (step.op == Op::number || step.op == Op::input) {
            Gradient leaf{step.op == Op::number ? step.number : inputs[step.input],
                          std::vector<double>(inputs_, 0.0)};
            if (step.op == Op::input) leaf.derivatives[step.input] = 1;
            stack.push_back(std::move(leaf));
            continue;
        }
        if (takes_two(step.op)) {
            const Gradient b = std::move(stack.back());
            stack.pop_back();
            Gradient& a = stack.back();
            const double result = apply(step.op, a.value, b.value);
            const auto [by_a, by_b] = partials(step.op, a.value, b.value, result);
            // A constant part adds nothing, even where its slope does not exist (log of a negative base).
            for (std::size_t i = 0; i < inputs_; ++i)
                a.derivatives[i] = (a.derivatives[i] == 0 ? 0 : by_a * a.derivatives[i]) +
                                   (b.derivatives[i] == 0 ? 0 : by_b * b.derivatives[i]);
            a.value = result;
        } else {
            Gradient& a = stack.back();
            const double result = apply(step.op, a.value);
            const double by_a = slope(step.op, a.value, result);
            for (double& d : a.derivatives) d = d == 0 ? 0 : by_a * d;
            a.value = result;
        }
    }
    return stack.back();
}

}  // namespace halfturn::calibrate
