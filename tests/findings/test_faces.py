"""Faces cut to the signs a page needs: every sign is shown, and none more is carried."""

import io

import pytest
from fontTools.ttLib import TTFont

from wetleaf.findings.faces import FACES, cut_faces


def signs_of(woff2: bytes) -> set[str]:
    return set(map(chr, TTFont(io.BytesIO(woff2)).getBestCmap()))


def test_every_face_holds_the_latin_signs_asked_for_and_the_eastern_one_the_others() -> None:
    faces, lacking = cut_faces("Lugu é 5.6 − 石盆 검은담 さえ")

    held = {cut.face.key: signs_of(cut.woff2) for cut in faces}
    assert lacking == frozenset()
    assert set("Luguéó5.6−".replace("ó", "")) <= held["serif-roman"] & held["sans-400"]
    assert held["east"] >= set("石盆검은담さえ")
    assert "L" not in held["east"]
    assert set(held) == {face.key for face in FACES}


def test_a_page_without_eastern_names_carries_no_eastern_face() -> None:
    faces, _ = cut_faces("Lugu")

    assert "east" not in {cut.face.key for cut in faces}


def test_figures_of_the_sans_stand_in_columns() -> None:
    faces, _ = cut_faces("0123456789")
    sans = TTFont(io.BytesIO(next(cut.woff2 for cut in faces if cut.face.key == "sans-400")))

    widths = {sans["hmtx"][sans.getBestCmap()[ord(figure)]][0] for figure in "0123456789"}

    assert len(widths) == 1


@pytest.mark.parametrize("language", ["JAN ", "KOR ", "ZHS "])
def test_the_eastern_face_keeps_the_forms_of_each_language(language: str) -> None:
    faces, _ = cut_faces("直骨海")
    east = next(cut for cut in faces if cut.face.key == "east")

    scripts = TTFont(io.BytesIO(east.woff2))["GSUB"].table.ScriptList.ScriptRecord

    assert language in {record.LangSysTag for script in scripts for record in script.Script.LangSysRecord}
