"""What was typed in and tested, as marks beside a revision, and how they travel."""

from datetime import timedelta
from random import Random

import pytest

from mapper.problems import RequestError
from mapper.touching.setting import DriverSetting
from mapper.touching.verdict import judge
from profiles.library.archive import export_archive, import_archive
from profiles.library.audit import audit
from profiles.library.history import history
from profiles.library.proofs import (
    measured_hand,
    note_touch,
    note_typed,
    proofs_of,
    standing_of,
)
from profiles.library.revisions import Library
from tests.profiles.libraries import NOW, workstation
from tests.touched import EIGHTEEN, Hand

LATER = [NOW + timedelta(days=days) for days in range(1, 9)]


class Kept:
    """A library with one desk, and what happens to it day by day."""

    def __init__(self, root):
        self.library = Library(root)
        self.days = iter(LATER)

    def keep(self, **asked):
        self.station = workstation(**asked)
        self.revision, _ = self.library.keep(self.station, now=NOW)
        return self

    @property
    def folder(self):
        return self.library.folder_of("desk")

    @property
    def meant(self):
        return self.station.map

    def typed(self, **more):
        return note_typed(self.library, self.revision, self.meant, now=next(self.days), **more)

    def touch(self, driver=None, crosses=None, scatter_mm=0.3):
        setting = driver or DriverSetting.of(self.meant)
        touches = Hand(scatter_mm).touch(setting, Random(5), crosses)
        verdict = judge(touches, self.meant)
        return note_touch(self.library, self.revision, self.meant, verdict, now=next(self.days))

    @property
    def now(self):
        return standing_of(self.library, self.folder, self.meant)


@pytest.fixture
def kept(tmp_path):
    return Kept(tmp_path / "library").keep()


def whole():
    """The driver with the whole tablet on the whole display."""
    return DriverSetting.of(workstation(fit="full").map)


def test_typed_in_then_tested_right(kept):
    assert kept.now == (None, None, None)
    assert kept.typed().at == LATER[0]
    assert kept.typed() is None
    test = kept.touch()
    assert (kept.now.typed.at, kept.now.tested) == (LATER[0], test)
    assert kept.now.is_proven
    assert test.revision == kept.revision.name
    # The limits are those of the verdict: a hand and a sheet that nobody sees, and chance.
    assert 1.0 < test.within_mm < 2.0
    assert test.found.touches == 9


def test_what_was_proven_was_typed_in_without_saying_so(kept):
    test = kept.touch()
    assert (kept.now.typed, kept.now.tested) == (test, test)
    assert kept.typed() is None


def test_a_test_that_fails_stands_until_it_is_typed_in_anew(kept):
    kept.typed()
    failed = kept.touch(whole())
    assert (failed.right, failed.cause) == (False, "whole tablet")
    assert kept.now.tested == failed
    assert not kept.now.is_proven
    again = kept.typed()
    assert (kept.now.typed, kept.now.tested) == (again, None)


def test_a_test_that_cannot_tell_leaves_no_mark(kept):
    assert kept.touch(crosses=[(20.0, 20.0), (200.0, 20.0), (200.0, 120.0)]) is None
    assert proofs_of(kept.library, kept.folder) == ([], [])


def test_taken_back_it_is_neither_typed_in_nor_tested(kept):
    assert kept.typed(undo=True) is None
    kept.typed()
    kept.touch()
    assert kept.typed(undo=True).mark == "untyped"
    assert kept.now[:2] == (None, None)


@pytest.mark.parametrize(
    "change", [{"fit": "full"}, {"turn_deg": 180}, {"displays": ("24in 1920x1080",)}]
)
def test_a_change_of_what_has_to_be_typed_needs_a_new_mark(kept, change):
    kept.typed()
    kept.touch()
    kept.keep(**change)
    assert kept.now == (None, None, None)


def test_a_change_of_nothing_that_is_typed_keeps_the_marks(kept):
    test = kept.touch()
    kept.keep(note="by the window")
    assert kept.revision.number == 2
    assert kept.now.tested == test


def test_other_numbers_typed_in_take_the_first_ones_away(kept):
    test = kept.touch()
    first = kept.meant
    kept.keep(fit="full").typed()
    assert standing_of(kept.library, kept.folder, first) == (None, None, test)
    # A test of others that fails says nothing of the first.
    kept.touch(DriverSetting.of(first))
    assert standing_of(kept.library, kept.folder, first).tested_before == test


def test_marks_stand_with_their_own_revision_in_the_history(kept):
    kept.typed()
    kept.touch()
    kept.keep(fit="full")
    rows = history(kept.library, kept.folder).rows
    assert [[proof.mark for proof in row.proofs] for row in rows] == [[], ["typed", "touch"]]


def test_an_archive_carries_them_and_an_audit_looks_at_them(kept, tmp_path):
    kept.typed()
    test = kept.touch()
    assert export_archive(kept.library, tmp_path / "all.zip") == (3, [])
    other = Library(tmp_path / "other")
    import_archive(other, tmp_path / "all.zip")
    assert standing_of(other, other.folder_of("desk"), kept.meant).tested == test
    found = audit(other)
    assert (found.revisions, found.entries, found.findings) == (1, 2, [])
    next(other.folder_of("desk").glob("0001-*")).unlink()
    says = [each.says for each in audit(other).damaged]
    assert len(says) == 2
    assert all("is about setting 1-" in each for each in says)


def test_a_damaged_mark_is_named_and_stops_nothing(kept):
    kept.typed()
    kept.touch()
    path = next((kept.folder / "proofs").glob("*-touch-*"))
    path.write_text(path.read_text("utf-8").replace("right: true", "right: false"), "utf-8")
    # As in another process, in which nothing of it was read.
    kept.library = Library(kept.library.root)
    found, problems = proofs_of(kept.library, kept.folder)
    assert [proof.mark for proof in found] == ["typed"]
    assert len(problems) == 1
    assert len(audit(kept.library).damaged) == 1
    assert kept.now.typed is not None


def test_a_document_that_says_nonsense_is_refused(kept):
    from profiles.library.entries import append
    from profiles.library.proofs import read_proof

    for wrong in (
        {"mark": "guess"},
        {"revision": "1"},
        {"found": {"within_mm": -1.0}},
        {"more": 1},
    ):
        whole_mark = {
            "evenstroke_proof": 1,
            "mark": "touch",
            "revision": kept.revision.name,
            "setting": dict.fromkeys(
                [
                    f"{side}_{unit}"
                    for unit in ("mm", "px")
                    for side in ("left", "top", "width", "height")
                ],
                1.0,
            ),
        }
        entry = append(kept.folder / "odd", "touch", whole_mark | wrong, NOW)
        with pytest.raises(RequestError):
            read_proof(entry)


def test_the_scatter_of_a_hand_needs_eighteen_touches_and_the_newest_counts(kept):
    assert measured_hand(kept.library) is None
    kept.touch()
    assert measured_hand(kept.library) is None
    kept.touch(crosses=EIGHTEEN, scatter_mm=0.3)
    rough = kept.touch(crosses=EIGHTEEN, scatter_mm=0.8)
    hand = measured_hand(kept.library)
    assert hand.mm == rough.found.scatter_mm
    # 30 degrees of freedom: within a third, 995 of 1,000 times (chi squared tables, from memory).
    assert hand.mm == pytest.approx(0.8, rel=0.34)
    assert hand.measured
    assert "18 touches on 2026-03-" in hand.source
