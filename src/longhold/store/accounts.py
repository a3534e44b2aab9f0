"""Who may sign in, and who is signed in."""

from __future__ import annotations

import datetime
import secrets
import unicodedata
from typing import TYPE_CHECKING, Any, cast, get_args

from sqlalchemy import Row, bindparam, delete, select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from longhold.base.extras import get_extra, needs_extra
from longhold.base.recent import once
from longhold.store.connecting import Connected
from longhold.store.errors import NotInStore, StoreError
from longhold.store.given import line, may_be_id, name_key, sha256, utc_now
from longhold.store.records import Account, OpenedSession, Role, SignedIn
from longhold.store.tables import AccountRow, SessionRow

if TYPE_CHECKING:
    from argon2 import PasswordHasher

__all__ = ["Accounts"]

NAME_AT_MOST = 200
PASSWORD_AT_LEAST, PASSWORD_AT_MOST = 10, 1000
LASTS = datetime.timedelta(hours=12)


class Accounts(Connected):
    """Accounts, their passwords as Argon2 hashes, and sessions, of which only a hash of the token is kept."""

    def add_account(self, name: str, password: str, role: Role) -> Account:
        """Let someone sign in.

        Parameters
        ----------
        name : to sign in with; unique, whatever the case of its letters
        password : of 10 to 1,000 characters

        Raises
        ------
        StoreError : the name is taken, the password too short, no such role
        """
        known = line("name", name, NAME_AT_MOST)
        _check_role(role)
        hashed = _hashed(password)
        row = AccountRow(
            name=known, name_key=name_key(known), role=role, password_hash=hashed, created_at=utc_now()
        )
        try:
            with self._writing() as session:
                session.add(row)
                session.flush()
                return _account(row)
        except IntegrityError:
            said = "there is an account of this name already."
            raise StoreError("name", known, said, "Choose another name.") from None

    def accounts(self) -> tuple[Account, ...]:
        """All accounts by name, closed ones too."""
        with self._reading() as session:
            return tuple(map(_account, session.scalars(select(AccountRow).order_by(AccountRow.name_key))))

    def account(self, account_id: int) -> Account:
        """One account.

        Raises
        ------
        NotInStore : there is none
        """
        with self._reading() as session:
            return _account(_there(session, account_id))

    def check_password(self, name: str, password: str) -> Account | None:
        """The account that a name and a password open, or None; which of the two was wrong is not told.

        It takes as long for a name that is not there as for one that is.
        """
        hasher = _hasher()
        from argon2.exceptions import InvalidHashError, VerificationError

        given = unicodedata.normalize("NFKC", password)[: PASSWORD_AT_MOST + 1]
        with self._reading() as session:
            in_use = (AccountRow.name_key == name_key(name)) & AccountRow.closed_at.is_(None)
            row = session.scalar(select(AccountRow).where(in_use)) if "\0" not in name else None
            found = None if row is None else (_account(row), row.password_hash)
        try:
            hasher.verify(found[1] if found else _hash_of_nobody(), given.encode("utf-8", "replace"))
        except (VerificationError, InvalidHashError):
            return None
        if found is None:
            return None
        account, hashed = found
        if hasher.check_needs_rehash(hashed):
            self._keep_hash(account.id, hasher.hash(given))
        return account

    def set_password(self, account_id: int, password: str) -> None:
        """Give an account another password, and end all its sessions.

        Raises
        ------
        NotInStore : no such account
        StoreError : the password is too short
        """
        hashed = _hashed(password)
        with self._writing() as session:
            _there(session, account_id).password_hash = hashed
            session.execute(delete(SessionRow).where(SessionRow.account_id == account_id))

    def set_role(self, account_id: int, role: Role) -> Account:
        """Let an account do more or less.

        Raises
        ------
        NotInStore : no such account
        StoreError : no such role, or nobody would be left who may decide
        """
        _check_role(role)
        with self._writing() as session:
            row = _there(session, account_id)
            if role != "owner":
                _keep_an_owner(session, row)
            row.role = role
            return _account(row)

    def close_account(self, account_id: int) -> Account:
        """Let someone sign in no more, and end all their sessions; what they saved stays under their name.

        Raises
        ------
        NotInStore : no such account
        StoreError : nobody would be left who may decide
        """
        with self._writing() as session:
            row = _there(session, account_id)
            _keep_an_owner(session, row)
            row.closed_at = row.closed_at or utc_now()
            session.execute(delete(SessionRow).where(SessionRow.account_id == account_id))
            return _account(row)

    def open_session(self, account_id: int, lasts: datetime.timedelta = LASTS) -> OpenedSession:
        """Sign someone in.

        Parameters
        ----------
        lasts : how long, whatever happens

        Raises
        ------
        NotInStore : no such account, or a closed one
        """
        token, now = secrets.token_urlsafe(32), utc_now()
        with self._writing() as session:
            row = _there(session, account_id)
            if row.closed_at is not None:
                raise NotInStore("account", row.name, "is closed.")
            session.execute(delete(SessionRow).where(SessionRow.expires_at <= now))
            opened = SessionRow(
                token_hash=sha256(token), account_id=row.id, opened_at=now, expires_at=now + lasts
            )
            session.add(opened)
            return OpenedSession(token, _account(row), opened.expires_at)

    def session(self, token: str) -> SignedIn | None:
        """Who a token stands for; None where it is unknown, run out or closed, or its account is."""
        asked = {"token_hash": sha256(token.encode("utf-8", "replace")), "now": utc_now()}
        with self._reading() as session:
            found = session.execute(_SIGNED_IN, asked).one_or_none()
            if found is None:
                return None
            return SignedIn(_account(found), found.opened_at, found.expires_at)

    def close_session(self, token: str) -> None:
        """Sign out; a token that is unknown is no fault."""
        with self._writing() as session:
            hashed = sha256(token.encode("utf-8", "replace"))
            session.execute(delete(SessionRow).where(SessionRow.token_hash == hashed))

    def close_sessions(self, account_id: int) -> None:
        """Sign someone out everywhere."""
        with self._writing() as session:
            session.execute(delete(SessionRow).where(SessionRow.account_id == account_id))

    def _keep_hash(self, account_id: int, hashed: str) -> None:
        with self._writing() as session:
            _there(session, account_id).password_hash = hashed


# built once: every page that is asked for asks who it is
_SIGNED_IN = (
    select(
        SessionRow.opened_at,
        SessionRow.expires_at,
        AccountRow.id,
        AccountRow.name,
        AccountRow.role,
        AccountRow.created_at,
        AccountRow.closed_at,
    )
    .join(AccountRow, AccountRow.id == SessionRow.account_id)
    .where(
        SessionRow.token_hash == bindparam("token_hash"),
        SessionRow.expires_at > bindparam("now"),
        AccountRow.closed_at.is_(None),
    )
)


def _there(session: Session, account_id: int) -> AccountRow:
    row = session.get(AccountRow, account_id) if may_be_id(account_id) else None
    if row is None:
        raise NotInStore("account", account_id, "there is none with this number in the store.")
    return row


def _keep_an_owner(session: Session, row: AccountRow) -> None:
    if row.role != "owner" or row.closed_at is not None:
        return
    owners = (AccountRow.role == "owner") & AccountRow.closed_at.is_(None)
    # locked until the end, so that two owners cannot each make the other the last one and go
    ids = session.scalars(select(AccountRow.id).where(owners).order_by(AccountRow.id).with_for_update()).all()
    if set(ids) <= {row.id}:
        said = "is the only owner; someone must be left who decides who may do what."
        raise StoreError("account", row.name, said, "Make somebody else an owner first.")


def _account(row: AccountRow | Row[*tuple[Any, ...]]) -> Account:
    role = cast("Role", row.role)
    return Account(row.id, row.name, role, row.created_at, row.closed_at)


def _check_role(role: str) -> None:
    if role not in get_args(Role):
        raise StoreError("role", role, f"must be one of {', '.join(get_args(Role))}.")


def _hashed(password: str) -> str:
    # people type one password on several keyboards: the same signs must give the same bytes
    given = unicodedata.normalize("NFKC", password)
    if not PASSWORD_AT_LEAST <= len(given) <= PASSWORD_AT_MOST:
        said = f"must have {PASSWORD_AT_LEAST} to {PASSWORD_AT_MOST:,} characters; it has {len(given):,}."
        raise StoreError("password", None, said, "Some words in a row are easy to keep in mind.")
    return _hasher().hash(given.encode("utf-8", "replace"))


@once
def _hasher() -> PasswordHasher:
    try:
        from argon2 import PasswordHasher
    except ImportError:
        raise StoreError("accounts", None, needs_extra("web"), get_extra("web")) from None
    return PasswordHasher()


@once
def _hash_of_nobody() -> str:
    return _hasher().hash(secrets.token_bytes(32))
