"""What was done half-way: an old cut or reading does not speak for what was changed after it."""

from __future__ import annotations

from askew.knowledge.experta_port import MATCH, one_of
from askew.knowledge.facts import Outdated
from askew.knowledge.rules.book import PRACTICE, Theme, conclude

THEME = Theme("what was done half-way")

RECUTS = ("recut", "cross_cut", "fine_cut", "turned_part")
REGRIPS = ("regripped", "bar_removed", "turned_part", "block_gripped")

for _id, _of, _actions, _kind, _because in (
    (
        "old_cut_new_head", "cut", ("trammed",), "note",
        "The {what:name} was taken on the cut from before the head was adjusted: it speaks for the "
        "old head only.",
    ),
    (
        "old_cut_new_shims", "cut", ("shimmed",), "note",
        "The {what:name} was taken on the cut from before the shims went in: it speaks for the "
        "machine as it was.",
    ),
    (
        "old_cut_new_cutter", "cut", ("cutter_changed",), "note",
        "The {what:name} was taken on the cut from before the cutter was changed: it speaks for the "
        "old cutter.",
    ),
    (
        "old_cut_new_cut", "cut", RECUTS, "aside",
        "The face has been cut again since {what:name} was taken, which speaks for the cut before.",
    ),
    (
        "old_sweep_new_head", "machine", ("trammed", "shimmed"), "note",
        "The {what:name} was taken before the machine was adjusted: it speaks for how it stood then.",
    ),
    (
        "old_vise_reading", "machine", ("vise_trued",), "note",
        "The {what:name} was taken before the vise was trued: it speaks for how it stood then.",
    ),
    (
        "old_grip", "grip", REGRIPS, "aside",
        "The part has been gripped again since {what:name} was taken: chips and seat are drawn "
        "afresh, jaw and lift stay.",
    ),
):  # fmt: skip
    THEME.rule(
        _id,
        Outdated(what=MATCH.what, of=_of, action=one_of(*_actions, name="action")),
        then=conclude(_kind, "?what"),
        because=_because,
        basis=PRACTICE,
    )
