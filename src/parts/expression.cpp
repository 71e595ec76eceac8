// Recursive descent, one function per level of binding: | is loosest, then ^, then &, then !.
#include "parts/expression.h"

#include <cassert>

#include "parts/expression_parser.h"

namespace halfsplit::parts {

bool is_name_letter(char c) noexcept {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' || c == '.' || c == '+' || c == '-' || c == '\'';
}

namespace {

constexpr int kDeepest = 64;
constexpr std::size_t kLongest = 4096;

class Parser {
 public:
  Parser(std::string_view text, const PinLookup& lookup, const PinHint& hint) : text_(text), lookup_(lookup), hint_(hint) {}

  std::variant<Expression, TextTrouble> run() {
    if (text_.size() > kLongest) return TextTrouble{kLongest, "an expression of more than 4096 letters", "split it over several blocks"};
    binary(0);
    blanks();
    if (!trouble_ && at_ < text_.size()) fail(at_, stray());
    if (trouble_) return *trouble_;
    return std::move(out_);
  }

 private:
  using Op = Expression::Op;
  struct Level { char sign; Op op; };
  static constexpr Level kLevels[] = {{'|', Op::disjunction}, {'^', Op::exclusive}, {'&', Op::conjunction}};

  void blanks() {
    while (at_ < text_.size() && (text_[at_] == ' ' || text_[at_] == '\t' || text_[at_] == '\n' || text_[at_] == '\r')) ++at_;
  }
  bool take(char sign) {
    blanks();
    if (at_ >= text_.size() || text_[at_] != sign) return false;
    ++at_;
    return true;
  }
  void fail(std::size_t offset, std::string message, std::string hint = {}) {
    if (!trouble_) trouble_ = TextTrouble{offset, std::move(message), std::move(hint)};
  }
  std::string stray() const {
    const char c = text_[at_];
    if (c == ')') return "a closing bracket without its opening one";
    if (is_name_letter(c) || c == '(' || c == '!') return "an operator is missing before this";
    return "this character has no meaning in an expression";
  }
  std::uint16_t add(Expression::Node node) {
    out_.nodes.push_back(std::move(node));
    return static_cast<std::uint16_t>(out_.nodes.size() - 1);
  }

  std::uint16_t binary(std::size_t level) {
    if (level == std::size(kLevels)) return unary();
    std::vector<std::uint16_t> args{binary(level + 1)};
    while (!trouble_ && take(kLevels[level].sign)) args.push_back(binary(level + 1));
    if (args.size() == 1) return args[0];
    return add({kLevels[level].op, false, 0, std::move(args)});
  }

  std::uint16_t unary() {
    if (++depth_ > kDeepest) fail(at_, "brackets and ! are nested more than 64 deep");
    std::uint16_t node = 0;
    if (!trouble_) {
      if (take('!')) node = add({Op::negate, false, 0, {unary()}});
      else if (take('(')) node = bracket();
      else node = name();
    }
    --depth_;
    return node;
  }

  std::uint16_t bracket() {
    const std::size_t open = at_ - 1;
    const std::uint16_t node = binary(0);
    if (!trouble_ && !take(')')) {
      blanks();
      if (at_ < text_.size()) fail(at_, stray());
      fail(open, "this bracket is never closed");
    }
    return node;
  }

  std::uint16_t name() {
    blanks();
    const std::size_t start = at_;
    while (at_ < text_.size() && is_name_letter(text_[at_])) ++at_;
    const std::string_view word = text_.substr(start, at_ - start);
    if (word.empty()) {
      missing_name();
      return 0;
    }
    if (word == "0" || word == "1") return add({Op::constant, word == "1", 0, {}});
    const auto pin = lookup_(word);
    if (!pin) {
      fail(start, "no pin is named " + std::string(word), hint_ ? hint_(word) : std::string());
      return 0;
    }
    return add({Op::pin, false, *pin, {}});
  }

  void missing_name() {
    if (at_ >= text_.size()) return fail(at_, "the expression ends where a pin name should be");
    const char c = text_[at_];
    if (c == '/') return fail(at_, "pin names stand here without their slash", "OE is the level of pin /OE; !OE is true when it is low");
    if (c == '~') return fail(at_, "not is written !");
    if (c == '&' || c == '|' || c == '^' || c == ')') return fail(at_, "a pin name is missing before this");
    fail(at_, "this character has no meaning in an expression", "use ! & | ^ ( ) 0 1 and pin names");
  }

  std::string_view text_;
  const PinLookup& lookup_;
  const PinHint& hint_;
  std::size_t at_ = 0;
  int depth_ = 0;
  Expression out_;
  std::optional<TextTrouble> trouble_;
};

}  // namespace

bool Expression::is_literal() const noexcept {
  if (nodes.size() == 1) return nodes[0].op == Op::pin;
  return nodes.size() == 2 && nodes[0].op == Op::pin && nodes[1].op == Op::negate;
}

std::variant<Expression, TextTrouble> parse_expression_text(std::string_view text, const PinLookup& lookup, const PinHint& hint) {
  return Parser(text, lookup, hint).run();
}

Result<Expression> parse_expression(std::string_view text, const PinLookup& lookup, const Place& place) {
  auto parsed = parse_expression_text(text, lookup, {});
  if (auto* expression = std::get_if<Expression>(&parsed)) return std::move(*expression);
  TextTrouble& trouble = std::get<TextTrouble>(parsed);
  Place quote = place;
  if (quote.column > 0) --quote.column;
  return bad_input(std::move(trouble.message), place.column > 0 ? place_in(quote, text, trouble.offset) : place, std::move(trouble.hint));
}

bool evaluate(const Expression& expression, const std::function<bool(std::uint16_t)>& level) {
  HS_REQUIRE(!expression.empty(), "an empty expression has no value");
  std::vector<bool> value(expression.nodes.size());
  for (std::size_t i = 0; i < expression.nodes.size(); ++i) {
    const Expression::Node& node = expression.nodes[i];
    bool v = node.constant;
    switch (node.op) {
      case Expression::Op::constant: break;
      case Expression::Op::pin: v = level(node.pin); break;
      case Expression::Op::negate: v = !value[node.args[0]]; break;
      case Expression::Op::conjunction:
        v = true;
        for (const auto arg : node.args) v = v && value[arg];
        break;
      case Expression::Op::disjunction:
        v = false;
        for (const auto arg : node.args) v = v || value[arg];
        break;
      case Expression::Op::exclusive:
        v = false;
        for (const auto arg : node.args) v = v != value[arg];
        break;
    }
    value[i] = v;
  }
  return value.back();
}

}  // namespace halfsplit::parts
