"""Warnings about a job that can still be estimated: a stable id for programs, and a text for people."""

from typing import Literal, get_args

from geometry.frozen import frozen
from geometry.message import Message, message

NoticeId = Literal[
    "absorbent-aggregate",
    "agreed-ended",
    "air-assumed",
    "air-unusual",
    "attendance-on-days-off",
    "batch-short",
    "batch-sizes-differ",
    "batch-too-small",
    "beads-may-float",
    "boards-not-nested",
    "bulk-density-missing",
    "change-unsigned",
    "color-mismatch",
    "correction-applied",
    "correction-left-out",
    "crew-short",
    "curing-not-shown-safe",
    "damp-sand",
    "day-too-full",
    "density-not-weighed",
    "dosage-out-of-range",
    "drawing-changed",
    "drawing-left-out",
    "dries-too-fast",
    "edge-length-unknown",
    "entrained-untested",
    "fiber-excess",
    "file-mended",
    "floor-full",
    "forms-few",
    "heat-model-limits",
    "hours-unusual",
    "mitre-deep",
    "moisture-not-counted",
    "more-hands",
    "needs-heat",
    "order-minimum",
    "order-not-proven",
    "overheats",
    "pack-unpriced",
    "pallet-overloaded",
    "piece-split",
    "pigment-excess",
    "pour-over-hours",
    "ratio-unusual",
    "record-torn",
    "reserve-unused",
    "samples-unpriced",
    "scale-too-coarse",
    "sealing-late",
    "sign-off-missing",
    "size-unusual",
    "stock-expired",
    "stock-of-another-lot",
    "stock-undated",
    "stock-unused",
    "strips-late",
    "thickness-estimated",
    "unpriced",
]
NOTICE_IDS: tuple[str, ...] = get_args(NoticeId)


@frozen
class Notice:
    """One warning: its id, and the message that people read.

    >>> str(Notice("overheats", message("cure-not-strong")).about("piece C1"))
    'about (subject = piece C1, text = cure-not-strong)'
    """

    id: NoticeId
    text: Message

    def about(self, subject: str | Message) -> "Notice":
        """The same warning, prefixed with its subject."""
        return Notice(self.id, message("about", subject=subject, text=self.text))

    def __str__(self) -> str:
        return str(self.text)
