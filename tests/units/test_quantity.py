"""Amounts as people write them."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from stillroom.units import Quantity, QuantityError, parse_number, parse_quantity, parse_unit, show


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("2.5", 2.5),
        ("2,5", 2.5),
        ("1.234,5", 1234.5),
        ("1,234.5", 1234.5),
        ("1.234.567", 1234567.0),
        ("1,234,567", 1234567.0),
        ("0,125", 0.125),
        ("1.234", 1.234),
        ("1 000", 1000.0),
        ("1\u00a0000", 1000.0),
        ("1\u202f000,5", 1000.5),
        ("1\u2009234", 1234.0),
        ("1'000", 1000.0),
        ("−3", -3.0),
        ("–3", -3.0),
        (" .5 ", 0.5),
        ("5.", 5.0),
        ("1e3", 1000.0),
        ("2.5E-3", 0.0025),
    ],
)
def test_numbers_as_written(text: str, value: float) -> None:
    assert parse_number(text) == pytest.approx(value, rel=1e-15)


@pytest.mark.parametrize(("decimal", "value"), [(".", 1234.0), (",", 1.234)])
def test_a_comma_and_three_digits_need_to_be_told(decimal, value) -> None:
    with pytest.raises(QuantityError, match=r"thousand or a decimal\. Write 1234 or 1\.234"):
        parse_number("1,234")
    assert parse_number("1,234", decimal=decimal) == value


def test_a_point_and_three_digits_are_a_thousand_only_among_decimal_commas() -> None:
    assert parse_number("1.500") == 1.5
    assert parse_number("1.500", decimal=",") == 1500.0
    assert parse_number("0.500", decimal=",") == 0.5


@pytest.mark.parametrize(
    "text",
    [
        "",
        "  ",
        "abc",
        "1.2.3",
        "1,2,3",
        "2 5",
        "12 34",
        "nan",
        "NaN",
        "inf",
        "-inf",
        "∞",
        "1e400",
        "1/2",
        "--1",
    ],
)
def test_what_is_no_finite_number(text: str) -> None:
    with pytest.raises(QuantityError, match="Write"):
        parse_number(text)


# NIST SP 811 (2008), Appendix B.8: gallon (US) 3.785 412 E-03 m3, quart 9.463 529 E-04, pint 4.731 765 E-04,
# fluid ounce 2.957 353 E-05, gallon (Canadian and UK) 4.546 09 E-03, pound (avoirdupois) 4.535 924 E-01 kg.
# Tolerance: half the last printed digit.
@pytest.mark.parametrize(
    ("unit", "kind", "value", "digit"),
    [
        ("gal", "volume", 3.785412e-3, 1e-9),
        ("qt", "volume", 9.463529e-4, 1e-10),
        ("pint", "volume", 4.731765e-4, 1e-10),
        ("fl. oz.", "volume", 2.957353e-5, 1e-11),
        ("imp. gal", "volume", 4.54609e-3, 1e-8),
        ("lb", "mass", 0.4535924, 1e-7),
    ],
)
def test_customary_units_against_nist(unit: str, kind: str, value: float, digit: float) -> None:
    found, factor = parse_unit(unit)
    assert found == kind
    assert factor == pytest.approx(value, abs=digit / 2 * 1.001)


@pytest.mark.parametrize(
    ("text", "value", "kind"),
    [
        ("2.5 L", 2.5e-3, "volume"),
        ("2,5l", 2.5e-3, "volume"),
        ("500ml", 5e-4, "volume"),
        ("500 ML", 5e-4, "volume"),
        ("1gal", 3.785411784e-3, "volume"),
        ("25 cc", 2.5e-5, "volume"),
        ("100 µl", 1e-7, "volume"),
        ("100 μL", 1e-7, "volume"),  # Greek mu, as some keyboards give
        ("1 dm³", 1e-3, "volume"),
        ("1.5 Liter", 1.5e-3, "volume"),
        ("500g", 0.5, "mass"),
        ("1 kg", 1.0, "mass"),
        ("250 Gramm", 0.25, "mass"),
        ("1 000 g", 1.0, "mass"),
        ("5 mg.", 5e-6, "mass"),
    ],
)
def test_amounts_as_written(text: str, value: float, kind: str) -> None:
    found = parse_quantity(text)
    assert (found.value, found.kind) == (pytest.approx(value, rel=1e-12), kind)


@pytest.mark.parametrize(
    ("text", "mend"),
    [
        ("5", "5 L or 5 g"),
        ("5 oz", "fl oz"),
        ("2 mol", "mass in g"),
        ("3 bottles", "L, mL, kg, g or mg"),
        ("-5 L", "size of one container"),
        ("0 g", "size of one container"),
        ("nan L", "a number"),
        ("L", "2.5 L or 500 g"),
        ("2-3 L", "L, mL"),
        ("1,234 L", "1234 or 1.234"),
    ],
)
def test_wrong_amounts_say_what_to_write(text: str, mend: str) -> None:
    with pytest.raises(QuantityError) as caught:
        parse_quantity(text)
    assert mend in str(caught.value).rpartition(". ")[2]


def test_a_unit_apart_must_agree_with_one_in_the_text() -> None:
    assert parse_quantity("500", unit="mL") == Quantity(pytest.approx(5e-4), "volume", "500 mL")
    assert parse_quantity("2.5 L", unit="litre").value == pytest.approx(2.5e-3)
    with pytest.raises(QuantityError, match="Keep one"):
        parse_quantity("500 mL", unit="L")


@given(st.floats(min_value=1e-6, max_value=1e6), st.sampled_from(["L", "mL", "kg", "g", "mg", "gal"]))
def test_what_is_printed_is_read_back(value: float, unit: str) -> None:
    kind, factor = parse_unit(unit)
    found = parse_quantity(f"{value!r} {unit}")
    assert (found.value, found.kind) == (pytest.approx(value * factor, rel=1e-12), kind)


@given(
    st.integers(min_value=0, max_value=10**9),
    st.integers(min_value=0, max_value=99),
    st.sampled_from([("\u00a0", ","), (" ", "."), (".", ","), (",", "."), ("'", "."), ("\u202f", ",")]),
)
def test_grouped_numbers_are_read_back(whole: int, cents: int, marks: tuple[str, str]) -> None:
    group, decimal = marks
    text = f"{whole:,}".replace(",", group) + f"{decimal}{cents:02d}"
    assert parse_number(text) == pytest.approx(whole + cents / 100, rel=1e-12)


@given(st.text(max_size=30))
def test_no_text_does_worse_than_an_explained_refusal(text: str) -> None:
    try:
        value = parse_number(text)
    except QuantityError:
        return
    assert math.isfinite(value)


@given(st.floats(min_value=1e-12, max_value=1e12), st.integers(min_value=1, max_value=6))
def test_show_keeps_its_digits(value: float, digits: int) -> None:
    text = show(value, digits)
    mantissa, _, exponent = text.partition("×10^")
    shown = float(mantissa) * 10.0 ** int(exponent or 0)
    assume(shown > 0)
    # half a unit of the last digit shown, at worst 5×10^-digits of a value whose first digit is one
    assert shown == pytest.approx(value, rel=5.001 * 10.0**-digits)


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0.0, "0"),
        (0.0251, "0.025"),
        (99.99, "100"),
        (1234567.0, "1.2×10^6"),
        (0.00001, "1.0×10^-5"),
        (2.0, "2.0"),
    ],
)
def test_show(value: float, text: str) -> None:
    assert show(value) == text
