"""Plain-text equations set as mathematics in HTML: subscripts, superscripts, fractions, roots."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from markupsafe import Markup, escape

from longhold.documents.figures import figure

__all__ = ["set_equation", "set_symbol", "set_units"]

_NAME = r"[^\W\d_]+_\w+(?:,\w+)+|[^\W\d]\w*'*"
_WORDS = re.compile(r"[^\W\d_]+(?:[,;]? [^\W\d_]+)+")
_TOKEN = re.compile(
    r"(?P<number>\d+(?:\.\d+)?(?:[eE][+-]?\d+)?)"
    rf"|(?P<name>{_NAME})"
    r"|(?P<relation><=|>=|!=|[=<>,;:|~≤≥≈])"
    r"|(?P<other>\S)"
)
_GREEK = {
    "alpha": "α",
    "beta": "β",
    "gamma": "γ",
    "delta": "δ",
    "Delta": "Δ",
    "theta": "θ",
    "lambda": "λ",
    "mu": "μ",
    "nu": "ν",
    "pi": "π",
    "rho": "ρ",
    "sigma": "σ",
    "tau": "τ",
    "phi": "φ",
    "Phi": "Φ",
    "omega": "ω",
}
_WITHOUT_LOW_LINE = (
    "lm",
    "ls",
    "qm",
    "qs",
    "dw",
    "dh",
    "fu",
    "fy",
    "kmod",
    "Fe",
    "Fem",
    "Fes",
    "Fu",
    "Fy",
    "Fyb",
    "Rd",
    "Pd",
    "Sd",
)
_SUBSCRIPTS = {name: (name[0], name[1:]) for name in _WITHOUT_LOW_LINE} | {
    "gM0": ("gamma", "M0"),
    "gM2": ("gamma", "M2"),
    "gammaM": ("gamma", "M"),
}
"""Symbols that standards print with a subscript and that are written without a low line."""
_FUNCTIONS = {"exp", "ln", "log", "log10", "min", "max", "erf", "sin", "cos", "tan", "median", "abs"}
_UNITS = {"km", "m", "mm", "um", "in", "ft", "year", "years", "yr", "h", "d", "C", "K", "N", "MPa", "psi"}
_SMALL_WORDS = {"of", "as", "it", "to", "at", "by", "in", "or", "is", "if", "on"}
_FRACTION = Markup('<span class="frac"><span>{}</span><span class="no">/</span><span>{}</span></span>')
_TALL = Markup('<span class="tall">(</span>{}<span class="tall">)</span>')
_BRACKETS = (('<span class="tall">(</span>', '<span class="tall">)</span>'), ("(", ")"))
_RELATIONS = {"<=": "≤", ">=": "≥", "!=": "≠"}
_POWERED_UNIT = re.compile(r"\b(k?g|lb|oz|mm|cm|m|ft|in|N)([23])\b|(?<=[/ ])(k?m|mm|cm|ft|in)\^([23])\b")


@dataclass(frozen=True)
class _Token:
    kind: str
    text: str
    touches: bool  # follows the one before without a space


class _NotAnEquationError(Exception):
    """The text cannot be read as an equation."""


def set_equation(text: str) -> Markup:
    """An equation in HTML; text that does not read as one is shown as it stands.

    >>> str(set_equation("r = x_1^2"))
    '<span class="eq" role="math" aria-label="r = x_1^2"><i>r</i> = <i>x</i><sub>1</sub><sup>2</sup></span>'
    >>> "frac" in set_equation("r / (1 + s)")
    True
    """
    if not text.strip():
        return Markup("")
    return Markup('<span class="eq" role="math" aria-label="{}">{}</span>').format(text, _read(text))


def _read(text: str) -> Markup:
    if _WORDS.fullmatch(text) and any(_is_word(one) for one in re.findall(r"\w+", text)):
        return escape(text)  # in which a letter by itself is no symbol
    try:
        return _Reader(text).whole()
    except (_NotAnEquationError, RecursionError):
        return escape(text)


def set_symbol(text: str) -> Markup:
    """A symbol such as ``r_zn`` with its subscript, or a ratio of such; several words are left as they are.

    >>> str(set_symbol("r_zn"))
    '<i>r</i><sub>zn</sub>'
    >>> str(set_symbol("x_h, x_b"))
    '<i>x</i><sub>h</sub>, <i>x</i><sub>b</sub>'
    """
    names = re.split("(,? )", text)
    if all(re.fullmatch(_NAME, name) for name in names[::2]):
        return Markup("").join(escape(name) if at % 2 else _name(name) for at, name in enumerate(names))
    return _read(text) if "/" in text else escape(text)


def set_units(text: str) -> str:
    """Units and signs as they are printed: ``um/yr`` to µm/yr, ``mg/(m2 d)`` to mg/(m² d), ``>=`` to ≥.

    >>> set_units("12 um, 3 mg/(m2 d) at 15 deg C"), set_units("-0.05 per C")
    ('12 µm, 3 mg/(m² d) at 15 °C', '−0.05 per °C')
    """
    text = re.sub("[<>!]=", lambda m: _RELATIONS[m[0]], text)
    text = re.sub(r"\bum\b", "µm", text)
    text = re.sub(r"\bug\b", "µg", text)
    text = re.sub(r"\bdeg ?([CF])\b|(?<=per )([CF])\b|(?<=\d )([CF])\b", _degree, text)
    text = re.sub(r"(?<![\w)])-(?=\d)", "−", text)
    text = re.sub(r"\b\d(?:\.\d+)?e[+-]\d+\b", lambda m: figure(float(m[0]), 3), text)
    text = _POWERED_UNIT.sub(lambda m: f"{m[1] or m[3]}{'²' if (m[2] or m[4]) == '2' else '³'}", text)
    return re.sub(r"(?<=\d)-(?=\d)", "–", text) if re.fullmatch(r"[\d.]+-[\d.]+ .*", text) else text


def _degree(match: re.Match[str]) -> str:
    return f"°{match[1] or match[2] or match[3]}"


class _Reader:
    """Recursive descent over the tokens of one equation; juxtaposed factors multiply."""

    def __init__(self, text: str) -> None:
        self.tokens = list(_tokens(text))
        self.at = 0
        self.raised = 0

    def whole(self) -> Markup:
        set_text = self.relations()
        if self.at < len(self.tokens):
            raise _NotAnEquationError
        return set_text

    def relations(self) -> Markup:
        parts = [self.sum()]
        while (token := self.peek()) and token.kind == "relation":
            self.at += 1
            mark = _RELATIONS.get(token.text, token.text)
            parts.append(Markup("{} ").format(mark) if mark in ",;:" else Markup(" {} ").format(mark))
            if self.peek() is not None and not self.next_is(")"):
                parts.append(self.sum())
        return Markup("").join(parts)

    def sum(self) -> Markup:
        parts = [self.sign() + self.product()]
        while self.next_is("+") or self.next_is("-"):
            mark = "+" if self.take().text == "+" else "−"
            parts.append(Markup(" {} ").format(mark) + self.product())
        return Markup("").join(parts)

    def sign(self) -> Markup:
        if self.next_is("-"):
            self.take()
            return Markup("−")
        return Markup("")

    def product(self) -> Markup:
        factors = [self.power()]
        while token := self.peek():
            if token.text == "*":
                self.take()
                factors.append(Markup("· ") + self.power())
            elif token.text == "/":
                self.take()
                factors = [self.fraction(factors)]
            elif token.text == "(" and token.touches:
                factors[-1] += self.power()
            elif token.kind in {"number", "name"} or token.text == "(":
                factors.append(self.power())
            else:
                break
        return Markup(" ").join(factors)

    def fraction(self, factors: list[Markup]) -> Markup:
        start = self.at
        below = self.power()
        token = self.peek()
        if self.tokens[start].kind == "number" and token is not None and token.text in _UNITS:
            below += Markup(" {}").format(self.take().text)
        above = Markup(" ").join(factors)
        if self.raised:
            return Markup("{}/{}").format(above, below)
        return _FRACTION.format(_bare(above), _bare(below))

    def power(self) -> Markup:
        base = self.primary()
        while self.next_is("^"):
            self.take()
            self.raised += 1
            raised = _bare(self.sign() + self.primary())
            self.raised -= 1
            base += Markup("<sup>{}</sup>").format(raised)
        return base

    def primary(self) -> Markup:
        token = self.take()
        if token.text == "(":
            inside = self.relations()
            self.close()
            around = _TALL if 'class="frac"' in inside else Markup("({})")
            return around.format(inside)
        if token.kind == "number":
            return _number(token.text)
        if token.kind == "name":
            return self.named(token.text)
        if token.text in "%?°…":
            return escape(token.text)
        raise _NotAnEquationError

    def named(self, name: str) -> Markup:
        if name == "sqrt" and self.next_is("("):
            self.take()
            inside = self.relations()
            self.close()
            return Markup('√<span class="root">{}</span>').format(inside)
        if name in _FUNCTIONS:
            called = self.power() if self.next_is("(") else Markup("")
            return Markup("{}{}").format(name, called)
        return _name(name)

    def peek(self) -> _Token | None:
        return self.tokens[self.at] if self.at < len(self.tokens) else None

    def next_is(self, text: str) -> bool:
        token = self.peek()
        return token is not None and token.text == text

    def take(self) -> _Token:
        if self.at >= len(self.tokens):
            raise _NotAnEquationError
        self.at += 1
        return self.tokens[self.at - 1]

    def close(self) -> None:
        if self.take().text != ")":
            raise _NotAnEquationError


def _tokens(text: str) -> Iterator[_Token]:
    end = -1
    for match in _TOKEN.finditer(text):
        yield _Token(match.lastgroup or "other", match[0], match.start() == end)
        end = match.end()


def _bare(text: Markup) -> Markup:
    """Without the brackets around the whole: a fraction bar or a raised line stands for them."""
    opening, closing = next(
        (pair for pair in _BRACKETS if text.startswith(pair[0]) and text.endswith(pair[1])), ("", "")
    )
    if not opening:
        return text
    last = len(text) - len(closing) + closing.index(")")
    depth = 0
    for place, letter in enumerate(text):
        depth += (letter == "(") - (letter == ")")
        if letter == ")" and depth == 0 and place < last:
            return text
    return text[len(opening) : -len(closing)]


def _number(text: str) -> Markup:
    mantissa, _, power = text.lower().partition("e")
    if not power:
        return escape(text)
    return Markup("{} × 10<sup>{}</sup>").format(mantissa, power.lstrip("+").replace("-", "−"))


def _name(text: str) -> Markup:
    stem, below = _SUBSCRIPTS.get(text) or text.partition("_")[::2]
    if not below and (match := re.fullmatch(r"([^\W\d_])(\d+)", stem)):
        stem, below = match[1], match[2]
    if _is_word(stem) and not below:
        return escape(stem)
    symbol = Markup("<i>{}</i>").format(_GREEK.get(stem, stem))
    if below:
        symbol += Markup("<sub>{}</sub>").format(_GREEK.get(below, below).replace("_", " "))
    return symbol


def _is_word(stem: str) -> bool:
    return stem in _SMALL_WORDS or (len(stem) > 2 and stem.islower() and stem not in _GREEK)
