"""Languages: what the loader refuses of a translation, what goes into a pack, and that the packs are kept beside the bundle."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from tongue import CODE, PROCEDURES, content, texts, told

from shaftside import calc, handbook
from shaftside.calc.problems import Problems
from shaftside.cli import main
from shaftside.database import Database
from shaftside.handbook import languages

CLAIMS: dict[str, str] = json.loads((Path(__file__).parent / "claims.json").read_text("utf-8"))


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return content(tmp_path_factory.mktemp("tongue"))


@pytest.fixture(scope="module")
def bundle(kept: Path) -> handbook.Bundle:
    return handbook.build(kept)


@pytest.fixture
def po(kept: Path) -> Iterator[Path]:
    """The invented language's file, to spoil."""
    path = kept / "languages" / f"{CODE}.po"
    whole = path.read_text("utf-8")
    yield path
    path.write_text(whole, "utf-8")


def faults(folder: Path) -> list[str]:
    with pytest.raises(calc.ContentError) as caught:
        handbook.build(folder)
    return [str(one) for one in caught.value.problems]


def changed(path: Path, old: str, new: str) -> int:
    """Change one place of a file; the line it stands on."""
    text = path.read_text("utf-8")
    assert text.count(old) == 1, text.count(old)
    path.write_text(text.replace(old, new), "utf-8")
    return text[: text.index(old)].count("\n") + 1


def test_the_bundle_is_english_alone_and_names_its_packs_by_hash(bundle: handbook.Bundle) -> None:
    assert bundle.data["languages"] == ["en", CODE]
    assert "drawings" not in bundle.data
    assert told("Read this machine's own energy-control procedure and your work permit.").encode() not in bundle.bytes
    assert bundle.data["packs"] == {name: hashlib.sha256(pack.bytes).hexdigest() for name, pack in bundle.packs.items()}
    assert set(bundle.packs) == {"figures", CODE}


def test_a_pack_says_every_text_once_in_order_and_what_is_not_reviewed(bundle: handbook.Bundle) -> None:
    pack = bundle.packs[CODE].data
    every = texts(bundle)
    assert pack["texts"] == [told(one.english) for one in every]
    assert len({one.key for one in every}) == len(every) > 2500
    assert pack["unreviewed"] == [at for at in range(len(every)) if at % 2]


def test_a_translation_changes_its_pack_and_no_other(bundle: handbook.Bundle, kept: Path, po: Path) -> None:
    changed(po, 'msgstr "‹Who goes›"', 'msgstr "‹who goes›"')
    again = handbook.build(kept)
    assert again.hash != bundle.hash
    assert again.packs["figures"].hash == bundle.packs["figures"].hash
    assert {key: value for key, value in again.data.items() if key != "packs"} == {
        key: value for key, value in bundle.data.items() if key != "packs"
    }


def test_the_first_ten_missing_texts_are_named_with_their_file_and_the_rest_counted(kept: Path, po: Path) -> None:
    po.write_text(re.sub(r'(?m)^msgstr "‹.*›"$', 'msgstr ""', po.read_text("utf-8")), "utf-8")
    found = faults(kept)
    named = [one for one in found if "says nothing for" in one]
    assert len(named) == 10
    assert named[0] == f"languages/{CODE}.po:0: says nothing for “How it was made sure that the owner is not on site” (lockout.yaml)"
    assert re.search(r"and \d{3,} more texts are missing", found[-1])


def test_a_text_that_nothing_uses_is_refused_on_its_line(kept: Path, po: Path) -> None:
    po.write_text(po.read_text("utf-8") + '\nmsgid "Hit it."\nmsgstr "‹Hit it.›"\n', "utf-8")
    line = po.read_text("utf-8").count("\n") - 1
    assert faults(kept) == [f"languages/{CODE}.po:{line}: no text uses “Hit it.”: shaftside texts {CODE} takes it out"]


def test_a_place_to_fill_in_must_be_in_both(kept: Path, po: Path) -> None:
    line = changed(po, 'msgstr "‹{label} is needed.›"', 'msgstr "‹{name} is needed.›"')
    assert faults(kept) == [f"languages/{CODE}.po:{line - 1}: “{{label}} is needed.” fills in {{label}}, its translation {{name}}"]


def test_a_file_that_is_no_po_file_is_refused(kept: Path, po: Path) -> None:
    po.write_text(po.read_text("utf-8") + "\njunk\n", "utf-8")
    assert "is not a PO file" in faults(kept)[0]


def test_an_unfinished_file_breaks_nothing_and_check_counts_what_is_missing(kept: Path, po: Path, capsys: pytest.CaptureFixture[str]) -> None:
    changed(po, "X-Complete: yes", "X-Complete: no")
    changed(po, 'msgstr "‹Who goes›"', 'msgstr ""')
    assert handbook.build(kept).data["languages"] == ["en"]
    assert main(["check", str(kept)]) == 0
    assert re.search(rf"languages/{CODE}\.po: 1 of \d+ texts missing\.", capsys.readouterr().out)


def test_texts_writes_a_file_whose_translations_come_back_as_they_were(kept: Path, po: Path) -> None:
    whole = po.read_text("utf-8")
    assert main(["texts", CODE, str(kept)]) == 0
    assert po.read_text("utf-8") == whole


def test_texts_adds_what_is_new_and_drops_what_is_gone(kept: Path, po: Path) -> None:
    changed(po, 'msgid "Who goes"\nmsgstr "‹Who goes›"', 'msgid "Who went"\nmsgstr "‹Who went›"')
    assert main(["texts", CODE, str(kept)]) == 0
    text = po.read_text("utf-8")
    assert "Who went" not in text
    assert re.search(r'#: lockout\.yaml\nmsgid "Who goes"\nmsgstr ""', text)


def test_merge_takes_what_fits_as_unreviewed_and_tells_what_does_not(kept: Path, po: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    read = next(one for one in languages.read(po, "x", Problems()).said.items() if one[1].reviewed)  # type: ignore[union-attr]
    changed(po, 'msgstr "‹Who comes›"', 'msgstr ""')
    part = tmp_path / "part.json"
    part.write_text(json.dumps({"Who comes": "‹comes who›", "Nobody asks": "x", "{label} is needed.": "x", read[0][1]: "y"}), "utf-8")
    assert main(["texts", CODE, str(kept), "--merge", str(part)]) == 1
    out = capsys.readouterr()
    assert "1 taken" in out.out
    assert "no text uses “Nobody asks”" in out.err
    assert "fills in {label}, its translation nothing" in out.err
    assert "is reviewed and says otherwise" in out.err
    assert re.search(r'#, fuzzy\nmsgid "Who comes"\nmsgstr "‹comes who›"', po.read_text("utf-8"))


def test_a_safety_line_is_marked_for_the_translator(po: Path) -> None:
    entry = next(one for one in po.read_text("utf-8").split("\n\n") if "A shaft that starts while hands are on it" in one)
    assert "#. a safety line" in entry


def test_a_plants_own_text_needs_no_translation_and_stays_english(kept: Path) -> None:
    own = Path(__file__).resolve().parents[2] / "demo_data" / "plant_own"
    bundle = handbook.build(kept, own)
    every = texts(bundle)
    theirs = [at for at, one in enumerate(every) if not one.ours]
    assert theirs
    assert {bundle.packs[CODE].data["texts"][at] for at in theirs} == {None}
    assert all(text is not None for at, text in enumerate(bundle.packs[CODE].data["texts"]) if at not in theirs)


def test_packs_are_kept_with_the_bundle_and_are_no_bundle(bundle: handbook.Bundle, tmp_path: Path) -> None:
    database = Database.open(f"sqlite:///{tmp_path / 'kept.db'}")
    database.migrate()
    handbook.Handbooks(database).put(bundle)
    later = handbook.Handbooks(database)
    for pack in bundle.packs.values():
        found = later.document(pack.hash)
        assert found is not None
        assert found.bytes == pack.bytes
        assert later.get(pack.hash) is None, "a pack named as a job's handbook would be no handbook"
    assert later.get(bundle.hash) is not None
    assert later.figures(bundle) == bundle.packs["figures"].data["figures"]
    old = handbook.Bundle("0" * 64, b"", {"calc": {}, "drawings": {"grip": 1}})
    assert later.figures(old) == {"grip": 1}


def test_the_terminal_answers_in_the_language_and_refuses_one_the_handbook_has_not(kept: Path, capsys: pytest.CaptureFixture[str]) -> None:
    ask = ["--content", str(kept.parent), "compute", "set_screw_torque", "screw=M8", "place=ring", "--lang"]
    assert main([*ask, CODE]) == 0
    out = capsys.readouterr().out.replace("\u00a0", " ")
    assert "‹" in out
    assert "13,5 N·m" in out  # 13.5 N.m: what set-screw tables print for M8 (common practice, no source)
    assert main([*ask, "xx"]) == 2
    assert "not written in xx" in capsys.readouterr().err


def test_the_http_answer_is_in_the_language_and_an_unknown_one_is_refused(bundle: handbook.Bundle, tmp_path: Path) -> None:
    from types import SimpleNamespace

    from shaftside.api.sheets import Ask, compute
    from shaftside.errors import ShaftsideError

    database = Database.open(f"sqlite:///{tmp_path / 'kept.db'}")
    database.migrate()
    books = handbook.Handbooks(database)
    books.put(bundle)
    request = SimpleNamespace(app=SimpleNamespace(state=SimpleNamespace(handbooks=books)))
    given = {"screw": "M8", "place": "ring"}
    answer = compute(request, "set_screw_torque", Ask(inputs=given, lang=CODE))  # type: ignore[arg-type]
    assert all(row["label"].startswith("‹") for row in answer["working"])
    assert any("13,5" in row["shown"] for row in answer["working"])
    with pytest.raises(ShaftsideError, match="not written in xx"):
        compute(request, "set_screw_torque", Ask(inputs=given, lang="xx"))  # type: ignore[arg-type]


@pytest.mark.parametrize("path", [path for path, _ in languages.files(PROCEDURES)], ids=lambda path: path.stem)
def test_no_translation_calls_a_machine_safe(path: Path) -> None:
    claim = re.compile(CLAIMS[path.stem], re.I)
    said = languages.read(path, path.name, Problems()).said  # type: ignore[union-attr]
    assert [one.text for one in said.values() if claim.search(one.text)] == []
