"""No warning gets out while a file is read, and all do afterwards, in whatever order threads come and go."""

import threading
import warnings

import pytest

from longhold.base.quiet import quiet


def test_the_first_in_may_be_the_first_out():
    before = list(warnings.filters)
    first_in, may_end = threading.Event(), threading.Event()

    def first():
        with quiet():
            first_in.set()
            assert may_end.wait(10)

    thread = threading.Thread(target=first)
    thread.start()
    assert first_in.wait(10)
    with quiet():  # does not wait for the first
        may_end.set()
        thread.join(10)
        warnings.warn("kept from people", UserWarning, stacklevel=1)  # which is an error in tests
    assert warnings.filters == before
    with pytest.warns(UserWarning, match="told again"):
        warnings.warn("told again", UserWarning, stacklevel=1)


def test_what_is_raised_inside_puts_it_back_too():
    before = list(warnings.filters)
    with pytest.raises(ZeroDivisionError), quiet():
        raise ZeroDivisionError
    assert warnings.filters == before
