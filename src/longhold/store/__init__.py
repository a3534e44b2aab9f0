"""Saved structures with every version, what was computed of them, and who may see them. Extra ``store``."""

from longhold.store.checking import Checked
from longhold.store.copies import Copied, Restored, restore_backup
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
from longhold.store.given import inputs_hash
from longhold.store.place import default_place
from longhold.store.records import (
    Account,
    Attachment,
    AttachmentInfo,
    Delivery,
    Job,
    JobState,
    KeptResult,
    OfferList,
    OfferListInfo,
    OpenedSession,
    Page,
    Reading,
    Role,
    SavedStructure,
    SignedIn,
    Version,
    VersionInfo,
)
from longhold.store.store import Store

__all__ = [
    "Account",
    "Attachment",
    "AttachmentInfo",
    "Checked",
    "Copied",
    "Delivery",
    "EditedMeanwhile",
    "Job",
    "JobState",
    "KeptResult",
    "NotInStore",
    "OfferList",
    "OfferListInfo",
    "OpenedSession",
    "Page",
    "Reading",
    "Restored",
    "Role",
    "SavedStructure",
    "SignedIn",
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
    "inputs_hash",
    "restore_backup",
]
