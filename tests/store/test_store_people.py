"""Accounts and sessions: what opens them, what ends them, and what is never kept."""

import datetime
import sqlite3
from contextlib import closing

import argon2
import pytest

from longhold.store import NotInStore, StoreError

WORDS = "four words in a row"


@pytest.fixture
def ann(store):
    return store.add_account("Ann", WORDS, "owner")


def test_only_name_and_password_together_open_an_account(store, ann):
    assert store.check_password(" ANN ", WORDS) == ann
    assert store.check_password("Ann", WORDS + " ") is None
    assert store.check_password("Ben", WORDS) is None
    assert store.check_password("a\0b", WORDS) is None
    assert store.check_password("Ann", "x" * 10_000_000) is None


def test_one_password_from_two_keyboards(store):
    store.add_account("Zoë", "cafe\u0301 au lait", "viewer")
    assert store.check_password("Zoe\u0308", "caf\u00e9 au lait") is not None


def test_what_is_kept_is_an_argon2_hash_and_no_token(in_file):
    ann = in_file.add_account("Ann", WORDS, "editor")
    token = in_file.open_session(ann.id).token
    with closing(sqlite3.connect(in_file.place.file)) as raw:
        (hashed,) = raw.execute("SELECT password_hash FROM accounts").fetchone()
        dump = "\n".join(raw.iterdump())
    assert hashed.startswith("$argon2id$")
    assert argon2.PasswordHasher().verify(hashed, WORDS)
    assert WORDS not in dump
    assert token not in dump
    assert token not in repr(in_file.open_session(ann.id))


def test_a_hash_of_former_strength_is_made_anew(in_file):
    in_file.add_account("Ann", WORDS, "editor")
    weak = argon2.PasswordHasher(time_cost=1, memory_cost=8, parallelism=1).hash(WORDS)
    with closing(sqlite3.connect(in_file.place.file)) as raw, raw:
        raw.execute("UPDATE accounts SET password_hash = ?", (weak,))
    assert in_file.check_password("Ann", WORDS) is not None
    with closing(sqlite3.connect(in_file.place.file)) as raw:
        (hashed,) = raw.execute("SELECT password_hash FROM accounts").fetchone()
    assert not argon2.PasswordHasher().check_needs_rehash(hashed)
    assert in_file.check_password("Ann", WORDS) is not None


@pytest.mark.parametrize("password", ["", "ninechars", "x" * 1001])
def test_passwords_too_short_or_too_long_are_refused(store, password):
    with pytest.raises(StoreError, match="10 to 1,000 characters") as told:
        store.add_account("Ann", password, "viewer")
    assert password == "" or password not in str(told.value)
    assert store.accounts() == ()


def test_a_name_is_taken_once(store, ann):
    with pytest.raises(StoreError, match="already"):
        store.add_account("aNN", WORDS, "viewer")
    with pytest.raises(StoreError, match="viewer, editor, owner"):
        store.add_account("Ben", WORDS, "admin")


def test_a_session_ends_in_time(store, ann):
    opened = store.open_session(ann.id, datetime.timedelta(hours=1))
    found = store.session(opened.token)
    assert found.account == ann
    assert found.expires_at - found.opened_at == datetime.timedelta(hours=1)
    assert len(opened.token) >= 43  # 32 random bytes
    over = store.open_session(ann.id, datetime.timedelta(seconds=-1))
    assert store.session(over.token) is None
    assert store.session("") is None
    assert store.session("\ud800") is None


def test_signing_out_ends_one_session(store, ann):
    one, two = store.open_session(ann.id), store.open_session(ann.id)
    store.close_session(one.token)
    store.close_session("never opened")
    assert store.session(one.token) is None
    assert store.session(two.token) is not None
    store.close_sessions(ann.id)
    assert store.session(two.token) is None


def test_another_password_and_a_closed_account_end_all_sessions(store, ann):
    ben = store.add_account("Ben", WORDS, "viewer")
    token = store.open_session(ben.id).token
    store.set_password(ben.id, "other words in a row")
    assert store.session(token) is None
    assert store.check_password("Ben", WORDS) is None
    token = store.open_session(ben.id).token
    store.close_account(ben.id)
    assert store.session(token) is None
    assert store.check_password("Ben", "other words in a row") is None
    with pytest.raises(NotInStore, match="closed"):
        store.open_session(ben.id)


def test_somebody_is_left_who_decides(store, ann):
    for refused in (lambda: store.close_account(ann.id), lambda: store.set_role(ann.id, "editor")):
        with pytest.raises(StoreError, match="only owner"):
            refused()
    ben = store.add_account("Ben", WORDS, "viewer")
    assert store.set_role(ben.id, "owner").role == "owner"
    assert store.set_role(ann.id, "viewer").role == "viewer"
    with pytest.raises(StoreError, match="only owner"):
        store.close_account(ben.id)
    with pytest.raises(NotInStore):
        store.account(99)
