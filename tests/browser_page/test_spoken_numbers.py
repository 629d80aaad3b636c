"""Numbers as they are spoken: in words and figures, with commands; what can be read in two ways is not read."""

import pytest

MM = [
    ("seventy four point two", "74.2"),
    ("seventy-four point two", "74.2"),
    ("74.2", "74.2"),
    ("74.2.", "74.2"),
    ("74,2", "74.2"),
    ("seventy four", "74"),
    ("sixty", "60"),
    ("sixty point zero five", "60.05"),
    ("sixty point oh five", "60.05"),
    ("sixty point twenty five", "60.25"),
    ("point five", "0.5"),
    ("one hundred and four point five", "104.5"),
    ("a hundred and four", "104"),
    ("one hundred four", "104"),
    ("hundred", "100"),
    ("one thousand two hundred and three", "1203"),
    ("seven four point two", "74.2"),
    ("7 4 point 2", "74.2"),
    ("74 point 2", "74.2"),
    ("minus three", "-3"),
    ("seventy and a half", "70.5"),
    ("seventy and three quarters", "70.75"),
    ("seventy four point two millimetres", "74.2"),
    ("74.2 mm", "74.2"),
    ("zero", "0"),
    ("nineteen", "19"),
]
INCHES = [
    ("two and three eighths", "2 3/8"),
    ("two three eighths", "2 3/8"),
    ("2 and 3/8", "2 3/8"),
    ("2 3/8", "2 3/8"),
    ("2 and 3 8ths", "2 3/8"),
    ("two and a half", "2 1/2"),
    ("two and a quarter inches", "2 1/4"),
    ("two and a half inch", "2 1/2"),
    ("three sixteenths", "3/16"),
    ("two and eleven sixteenths", "2 11/16"),
    ("two and five thirty-seconds", "2 5/32"),
    ("two and five thirty seconds", "2 5/32"),
    ("half", "1/2"),
    ("2⅜", "2 3/8"),
    ("two point three seven five", "2.375"),
    ('2 3/8"', "2 3/8"),
]
NONE = [
    "", "the", "seventy four to", "two seventy four", "seventy twelve", "forty forty", "twenty ten", "and", "point",
    "seventy and", "five point", "two and nine eighths", "hundred hundred", "seven thousand thousand",
    "two and three fifths", "seventy something", "one two hundred", "minus", "half half",
]  # fmt: skip


def spoken(modules, words, units):
    return modules("gauge/spoken-number.js", "return one.spoken(given[0], given[1]);", [words, units])


@pytest.mark.parametrize(("words", "text"), MM)
def test_millimetres_are_read(modules, words, text):
    assert spoken(modules, words, "mm") == {"text": text, "units": "mm", "command": None}


@pytest.mark.parametrize(("words", "text"), INCHES)
def test_inches_are_read_with_their_fractions(modules, words, text):
    assert spoken(modules, words, "in") == {"text": text, "units": "in", "command": None}


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("words", NONE)
def test_what_is_no_number_or_may_be_two_is_not_read(modules, words, units):
    assert spoken(modules, words, units) is None


def test_a_unit_that_is_spoken_counts_before_the_one_at_hand(modules):
    assert spoken(modules, "two and three eighths inches", "mm")["units"] == "in"
    assert spoken(modules, "sixty millimetres", "in")["units"] == "mm"
    # Eighths of a millimetre nobody reads off a rod.
    assert spoken(modules, "two and three eighths", "mm") is None


@pytest.mark.parametrize(
    ("words", "text", "command"),
    [
        ("next", None, "next"),
        ("back", None, "back"),
        ("read again", None, "again"),
        ("again", None, "again"),
        ("delete", None, "delete"),
        ("seventy four point two next", "74.2", "next"),
        ("Seventy four. Next.", "74", "next"),
    ],
)
def test_commands_stand_alone_or_after_a_number(modules, words, text, command):
    assert spoken(modules, words, "mm") == {"text": text, "units": "mm", "command": command}


def test_every_whole_number_in_words_is_itself(modules):
    """The words are made here by another rule than the one that reads them."""
    ones = ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"]
    ones += [f"{word}teen" for word in ("thir", "four", "fif", "six", "seven", "eigh", "nine")]
    tens = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]

    def below_hundred(n):
        return (
            ones[n - 1] if n < 20 else " ".join([tens[n // 10 - 2], *([ones[n % 10 - 1]] if n % 10 else [])])
        )

    def said(n):
        hundreds = [f"{ones[n // 100 - 1]} hundred"] if n >= 100 else []
        return " and ".join([*hundreds, *([below_hundred(n % 100)] if n % 100 else [])])

    given = [said(n) for n in range(1, 1000)]
    read = modules(
        "gauge/spoken-number.js", "return given.map((words) => one.spoken(words, 'mm')?.text);", given
    )
    assert read == [str(n) for n in range(1, 1000)]
