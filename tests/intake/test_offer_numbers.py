"""Prices, counts and dates as suppliers write them."""

import datetime
import locale

import pytest
from hypothesis import given
from hypothesis import strategies as st

from longhold.intake.offer_numbers import read_count, read_date, read_days, read_price

PRICES = st.decimals(0, 9_999_999, places=2)


@given(PRICES)
def test_prices_in_both_styles_are_the_same_price(price):
    """Against Python's own formatting of thousands and decimals."""
    english = f"{price:,.2f}"
    continental = english.translate(str.maketrans(",.", ".,"))
    for text in (english, continental, english.replace(",", "\u202f"), english.replace(",", "'")):
        assert read_price(text)[0] == float(price)
        assert read_price(f"{text} €") == (float(price), {"EUR"})
        assert read_price(f"USD {text}") == (float(price), {"USD"})
    assert float(locale.delocalize(english.replace(",", ""))) == float(price)


@given(st.integers(1, 999), st.integers(0, 999))
def test_three_digits_after_one_sign_are_never_guessed(before, after):
    text = f"{before}.{after:03d}"
    with pytest.raises(ValueError, match="could be"):
        read_price(text)
    assert read_price(text, ".")[0] == float(text)
    assert read_price(text, ",")[0] == before * 1000 + after


@pytest.mark.parametrize(
    ("text", "decimal", "wanted"),
    [
        ("12", "", 12.0),
        ("12,5", "", 12.5),
        (".5", "", 0.5),
        ("0.125", "", 0.125),
        ("1.234.567", "", 1234567.0),
        ("1 234,50", "", 1234.5),
        ("$ 12.50", "", 12.5),
        ("12.50 US$", "", 12.5),
        ("EUR12,50", "", 12.5),
    ],
)
def test_prices_that_can_be_read(text, decimal, wanted):
    assert read_price(text, decimal)[0] == wanted


@pytest.mark.parametrize(
    ("text", "decimal", "why"),
    [
        ("", "", "must be a number"),
        ("dear", "", "must be a number"),
        ("12.50 or 13", "", "must be a number"),
        ("-3", "", "must not be negative"),
        ("(3.00)", "", "must not be negative"),
        ("3.00-", "", "must not be negative"),
        ("1,23,456.00", "", "must be a number such as"),
        ("1.234,50", ".", r"has ',' before its decimals, and its list is read with '\.' before decimals"),
        ("1,234.50", ",", r"has '\.' before its decimals, and its list is read with ',' before decimals"),
        ("1.234.567", ".", r"has '\.' between its thousands, and its list is read with '\.'"),
        ("12,50", ".", "before its decimals"),
        ("12.", "", "must be a number"),
        ("1.2.3", "", "must be a number"),
        ("5 apples", "", "no currency that is known"),
        ("1e5", "", "must be a number"),
        ("inf", "", "must be a number"),
    ],
)
def test_prices_that_cannot(text, decimal, why):
    with pytest.raises(ValueError, match=why):
        read_price(text, decimal)


def test_a_sign_that_several_currencies_share_names_all_of_them():
    assert {"USD", "CAD", "AUD"} <= read_price("$12.50")[1]
    assert read_price("US$ 12.50")[1] == {"USD"}


@pytest.mark.parametrize(
    ("text", "wanted"),
    [("250", 250), ("250 pcs", 250), ("box of 1,000", 1000), ("1.000 Stk.", 1000), ("50.0", 50)],
)
def test_counts(text, wanted):
    assert read_count(text) == wanted


@pytest.mark.parametrize("text", ["", "many", "2 x 250", "2.5", "-5", "1e3", "9" * 5000])
def test_what_is_no_count(text):
    with pytest.raises(ValueError, match="whole number"):
        read_count(text)


@pytest.mark.parametrize("text", ["in stock", "", "3 months", "-3", "3.5", "9" * 5000])
def test_what_is_no_lead_time(text):
    with pytest.raises(ValueError, match="days or weeks"):
        read_days(text)


@given(st.dates(datetime.date(1950, 1, 1), datetime.date(2099, 12, 31)))
def test_dates_in_every_order(date):
    """Against Python's own formatting."""
    assert read_date(date.isoformat()) == date
    assert read_date(date.strftime("%d.%m.%Y")) == date
    assert read_date(date.strftime("%d/%m/%Y"), "day_first") == date
    assert read_date(date.strftime("%m/%d/%Y"), "month_first") == date
    if date.day > 12:
        assert read_date(date.strftime("%m/%d/%Y")) == read_date(date.strftime("%d/%m/%Y")) == date
    elif date.day != date.month:
        with pytest.raises(ValueError, match="day or month first"):
            read_date(date.strftime("%m/%d/%Y"))


@pytest.mark.parametrize("text", ["soon", "2026", "31.02.2026", "13/13/2026", "2.3.26"])
def test_what_is_no_date(text):
    with pytest.raises(ValueError, match=r"date|range|month|day"):
        read_date(text)
