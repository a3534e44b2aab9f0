"""Prices, counts and dates as suppliers write them; what could mean two things is refused, never guessed."""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping

from longhold.base.recent import once
from longhold.base.tables import load_csv

__all__ = [
    "BY",
    "LOOKED_AT",
    "OtherSignError",
    "currency_codes",
    "has_no_unit",
    "read_count",
    "read_date",
    "read_days",
    "read_price",
    "sign_in_format",
]

LOOKED_AT = 2_000
"""Lines that tell how a list writes its numbers and dates."""
BY = r"\s*[x\u00d7*]\s*"
"""Between the numbers of a size."""

_GROUPED = {
    ".": re.compile(r"\d{1,3}(\.\d{3})+$"),
    ",": re.compile(r"\d{1,3}(,\d{3})+$"),
}
_BLANKS = re.compile("(?<=\\d)[ \u00a0\u2009\u202f'\u2019](?=\\d{3}(\\D|$))")
_DAYS_IN = {"day": 1, "days": 1, "d": 1, "tag": 1, "tage": 1, "jour": 1, "jours": 1, "día": 1, "días": 1}
_DAYS_IN |= {"working days": 1, "week": 7, "weeks": 7, "wk": 7, "wks": 7, "woche": 7, "wochen": 7}
_DAYS_IN |= {"semaine": 7, "semaines": 7, "semana": 7, "semanas": 7, "": 1}


class OtherSignError(ValueError):
    """A price is written with the other sign before decimals than the one that its list is read with."""

    def __init__(self, sign: str, taken: str, shown: str) -> None:
        self.sign, self.taken = sign, taken
        super().__init__(f"has {shown}, and its list is read with {taken!r} before decimals")


def has_no_unit(size: str) -> bool:
    """Whether a size is one number, or two with a sign between them, and tells no unit.

    >>> has_no_unit("4,0 x 60"), has_no_unit("1/2 x 1-1/2"), has_no_unit("4.2")
    (True, True, True)
    >>> has_no_unit("4.0 x 60 mm"), has_no_unit("16d common"), has_no_unit("2x")
    (False, False, False)
    """
    number = r"\d+(?:[.,]\d+)?(?:[- ]\d+/\d+|/\d+)?"
    return re.fullmatch(rf"\s*{number}(?:{BY}{number})?\s*", size, re.IGNORECASE) is not None


def read_price(text: str, decimal: str = "") -> tuple[float, frozenset[str]]:
    """A price, and the currencies that a sign or code beside it may stand for (none where there is none).

    Parameters
    ----------
    decimal : the sign before decimals, where the list's reader knows it

    Raises
    ------
    ValueError : no price, a negative one, or one that could be read in two ways
    OtherSignError : it has the other sign before its decimals

    >>> read_price("1.234,50 €"), read_price("USD 1,234.50")
    ((1234.5, frozenset({'EUR'})), (1234.5, frozenset({'USD'})))
    >>> read_price("1.234")
    Traceback (most recent call last):
    ...
    ValueError: could be 1234 or 1.234: tell the sign before decimals
    """
    number, sign = _apart(text.strip())
    codes = _codes_of(sign)
    if not re.fullmatch(r"[\d.,]+", number):
        if re.fullmatch(r"[-(].*|.*-", number) and re.search(r"\d", number):
            raise ValueError("must not be negative")
        raise ValueError("must be a number such as 12.50")
    return _number(number, decimal), codes


def _apart(text: str) -> tuple[str, str]:
    """The number and what stands before or after it, if that is a sign or code of a currency."""
    text = _BLANKS.sub("", text)
    match = re.fullmatch(r"(?P<before>[^\d(.,-]*)(?P<number>[-(]?[\d.,]+\)?-?)(?P<after>[^\d]*)", text)
    if not match:
        return text, ""
    around = [match["before"].strip(" \u00a0:"), match["after"].strip(" \u00a0:")]
    said = [one for one in around if one]
    return (
        (match["number"], said[0]) if len(said) <= 1 and said else (match["number"] if not said else text, "")
    )


def _codes_of(sign: str) -> frozenset[str]:
    if not sign:
        return frozenset()
    known = currency_codes()
    if sign.upper() in known:
        return frozenset({sign.upper()})
    for code in known:  # US$, CA$
        if known[code] and sign.upper() == f"{code[:2]}{known[code]}":
            return frozenset({code})
    found = frozenset(code for code, own in known.items() if own and own.casefold() == sign.casefold())
    if not found:
        raise ValueError(f"has {sign!r} beside the number, which is no currency that is known")
    return found


def _number(text: str, decimal: str) -> float:
    signs = [sign for sign in ".," if sign in text]
    if len(signs) == 2:
        last = max(signs, key=text.rindex)
        whole, _, cents = text.rpartition(last)
        other = "," if last == "." else "."
        if not _GROUPED[other].match(whole) or not cents:
            raise ValueError("must be a number such as 1,234.50 or 1.234,50")
        if decimal and decimal != last:
            raise OtherSignError(last, decimal, f"{last!r} before its decimals")
        return float(whole.replace(other, "") + "." + cents)
    if not signs:
        return float(text)
    return _with_one_sign(text, signs[0], decimal)


def _with_one_sign(text: str, sign: str, decimal: str) -> float:
    before, _, after = text.rpartition(sign)
    grouped = bool(_GROUPED[sign].match(text)) and not text.startswith("0")
    plain = text.replace(sign, "") if grouped else ""
    if text.count(sign) > 1:
        if not grouped:
            raise ValueError("must be a number such as 1,234.50 or 1.234,50")
        if decimal == sign:
            raise OtherSignError("," if sign == "." else ".", sign, f"{sign!r} between its thousands")
        return float(plain)
    if grouped and not decimal:
        raise ValueError(f"could be {plain} or {before}.{after}: tell the sign before decimals")
    if grouped and decimal != sign:
        return float(plain)
    if decimal and decimal != sign:
        raise OtherSignError(sign, decimal, f"{sign!r} before its decimals")
    if not after:
        raise ValueError("must be a number such as 12.50")
    return float(f"{before or '0'}.{after}")


def read_count(text: str) -> int:
    """A whole number, with or without a word of what is counted.

    >>> read_count("250 pcs"), read_count("box of 1,000")
    (250, 1000)
    """
    plain = _BLANKS.sub("", text.strip())
    match = re.fullmatch(r"[^\d.,-]*(\d[\d.,]*)[^\d.,-]*\.?", plain)
    if not match:
        raise ValueError("must be one whole number, such as 250")
    number = match[1]
    for sign in ".,":
        if _GROUPED[sign].match(number):
            number = number.replace(sign, "")
    if re.fullmatch(r"\d+[.,]0+", number):
        number = re.split("[.,]", number)[0]
    if not re.fullmatch(r"\d{1,15}", number):
        raise ValueError("must be one whole number, such as 250")
    return int(number)


def read_days(text: str) -> int:
    """Days until something arrives; of a span the longer end.

    >>> read_days("3"), read_days("2 weeks"), read_days("3-5 days")
    (3, 14, 5)
    """
    match = re.fullmatch(
        r"(?:\d+\s*(?:-|–|to|bis|à|a)\s*)?(\d{1,6})\s*([^\W\d]*(?: days)?)\.?", text.strip().casefold()
    )
    if not match or match[2] not in _DAYS_IN:
        raise ValueError("must be a number of days or weeks, such as 3 days")
    return int(match[1]) * _DAYS_IN[match[2]]


def read_date(text: str, order: str = "") -> datetime.date:
    """A date: 2026-11-02 always, 2.11.2026 day first, 2/11/2026 by the order that the list is said to have.

    >>> read_date("02.11.2026"), read_date("11/25/2026")
    (datetime.date(2026, 11, 2), datetime.date(2026, 11, 25))
    """
    plain = text.strip()
    if re.fullmatch(r"\d{4}-\d{2}-\d{2}", plain):
        return datetime.date.fromisoformat(plain)
    match = re.fullmatch(r"(\d{1,2})([./-])(\d{1,2})\2(\d{4})", plain)
    if not match:
        raise ValueError("must be a date such as 2026-11-02")
    first, second, year = int(match[1]), int(match[3]), int(match[4])
    day_first = order == "day_first" or (not order and (match[2] == "." or first > 12))
    month_first = order == "month_first" or (not order and second > 12)
    if not (day_first or month_first) and first != second:
        raise ValueError("could be day or month first: tell which, or write 2026-11-02")
    day, month = (second, first) if month_first else (first, second)
    return datetime.date(year, month, day)


def sign_in_format(number_format: str) -> str:
    """The sign or code of a currency that a cell shows beside its number; empty where none.

    >>> sign_in_format('#,##0.00 "€"'), sign_in_format("[$$-409]#,##0.00"), sign_in_format("0.00")
    ('€', '$', '')
    """
    if match := re.search(r"\[\$([^\]-]+)(?:-[0-9A-Fa-f]+)?\]", number_format):
        return match[1].strip()
    said = re.sub(r'[#0?.,;_()*\-\s"\\]|\[[^\]]*\]|General|@', "", number_format.split(";")[0])
    known = currency_codes()
    return said if said and (said.upper() in known or said in known.values()) else ""


@once
def currency_codes() -> Mapping[str, str]:
    """ISO 4217 letters that are known, and the sign of each, empty where it has none."""
    rows = load_csv("intake/currencies.csv", {"code": str, "sign": str}, key=("code",))
    return {row["code"]: row["sign"] for row in rows}
