"""Every reader of what people hand in, with a fixed number of spoiled inputs from a fixed seed."""

import io
import warnings
import zipfile
from random import Random

import pytest
from fuzzing import judging, targets
from fuzzing.judging import judge
from fuzzing.mutating import spoiled
from fuzzing.plain import try_plainly
from fuzzing.targets import TARGETS, Target

import fuzz
from longhold.base.errors import InputError, Problem, TableError

SEED = 11
# spoiled ones, of the slow readers fewer, so that all of them take half a minute of a processor
INPUTS = {
    **dict.fromkeys(TARGETS, 20),
    **dict.fromkeys(("xlsx", "offers_xlsx", "epw", "tmy3", "tmy2", "ifc", "offers", "result", "life"), 10),
}


@pytest.mark.slow
@pytest.mark.parametrize("name", TARGETS)
def test_spoiled_inputs_are_read_or_refused(name, monkeypatch, capsys):
    monkeypatch.setenv("LONGHOLD_CONFIG", "off")
    tried = try_plainly(name, INPUTS[name], SEED)
    said = f"{tried.inputs} spoiled inputs tried, {tried.read} read, {len(tried.crashes)} crashes"
    with capsys.disabled():
        print(f"\n{TARGETS[name].words}: {said}", end="")
    assert not tried.crashes, "\n".join(crash.told for crash, _ in tried.crashes.values())
    assert tried.inputs == INPUTS[name]
    assert tried.sound >= 1  # a reader that refused these too would try nothing


def raising(error):
    def take(_):
        raise error

    return take


def warning(_):
    warnings.warn("Corrupt data", stacklevel=1)


def spinning(_):
    while True:
        pass


@pytest.mark.parametrize(
    ("take", "key"),
    [
        (raising(KeyError("x")), "KeyError"),
        (raising(TableError("ours")), "TableError"),
        (raising(InputError(Problem("line 1", None, "expected <class 'float'>."))), "message: <class "),
        (
            raising(InputError(Problem("line 1", None, "<x object at 0x7f00aa11bb22>."))),
            "message: object at 0x",
        ),
        (raising(InputError()), "empty message"),
        (warning, "warning: UserWarning"),
        (spinning, "hang"),
    ],
)
def test_a_planted_fault_is_a_crash(take, key, monkeypatch):
    monkeypatch.setattr(judging, "LONGEST_S", 0.2)
    crash = judge(take, b"")
    assert crash is not None
    assert crash.key.startswith(key)


def test_too_much_memory_is_a_crash_after_an_input_that_took_as_much_too(monkeypatch):
    monkeypatch.setattr(judging, "MOST_MORE_MB", 50)
    crash = [judge(lambda _: bytearray(80_000_000), b"").key for _ in range(2)]
    assert crash == ["memory", "memory"]


@pytest.mark.parametrize("take", [lambda _: 3, raising(InputError(Problem("line 1", "x", "must be 1.")))])
def test_an_answer_and_a_refusal_are_none(take):
    assert judge(take, b"") is None


def test_the_words_of_the_input_itself_may_be_told():
    said = InputError(Problem("line 1", "<class 'x'>", "is no label."))
    assert judge(raising(said), b"<class 'x'>") is None


def test_the_same_seed_tries_the_same(monkeypatch):
    given = []
    monkeypatch.setitem(
        targets.TARGETS, "tag", Target("tags", lambda data: given.append(data), lambda: [b"ACQ-D 0.15 pcf"])
    )
    try_plainly("tag", 30, 5)
    try_plainly("tag", 30, 5)
    assert given[:31] == given[31:]
    assert len(set(given)) > 25


def test_most_spoiled_workbooks_are_packages_still():
    """What is no package is refused at its first bytes, and nothing behind them would be tried."""
    made = [
        spoiled(book, [book], "book", Random(number), 2 * len(book) + 10_000)
        for number, book in enumerate(targets.TARGETS["xlsx"].seeds() * 20)
    ]
    assert sum(zipfile.is_zipfile(io.BytesIO(one)) for one in made) > 30


def test_the_table_is_written_between_its_marks(monkeypatch, tmp_path, capsys):
    """With a reader that crashes: it is told, kept, counted, and the exit code says so."""
    monkeypatch.setitem(
        targets.TARGETS, "tag", Target("tags", raising(KeyError("x")), lambda: [b"ACQ-D 0.15 pcf"])
    )
    monkeypatch.setattr(fuzz, "BUILD", tmp_path)
    page = tmp_path / "proof.md"
    page.write_text(f"before\n{fuzz._BEGIN}\nold\n{fuzz._END}\nafter\n", encoding="utf-8")
    assert fuzz.main(["--inputs", "5", "--only", "tag", "--note", str(page)]) == 1
    text = page.read_text(encoding="utf-8")
    assert text.startswith("before\n")
    assert text.endswith("after\n")
    assert "old" not in text
    assert "| tags | 5 | 0 | 1 |" in text
    (kept,) = (tmp_path / "crashes").iterdir()
    assert kept.read_bytes() == b"ACQ-D 0.15 pcf"
    assert "6 x KeyError" in capsys.readouterr().out
