"""Saved structures with every version, what was computed of them, and who may see them. Extra ``store``."""

from longhold.store.errors import (
    EditedMeanwhile,
    NotInStore,
    StoreBusy,
    StoreDamaged,
    StoreError,
    StoreFull,
    StoreReadOnly,
    StoreTooNew,
    StoreUnreachable,
)
from longhold.store.place import default_place
from longhold.store.records import Page, SavedStructure, Version, VersionInfo
from longhold.store.store import Store

__all__ = [
    "EditedMeanwhile",
    "NotInStore",
    "Page",
    "SavedStructure",
    "Store",
    "StoreBusy",
    "StoreDamaged",
    "StoreError",
    "StoreFull",
    "StoreReadOnly",
    "StoreTooNew",
    "StoreUnreachable",
    "Version",
    "VersionInfo",
    "default_place",
]
