"""The desk in Spanish: every sentence translated, the language a reader gets, days and numbers as that language writes them."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from shaftside.calc.problems import Problems
from shaftside.pages import texts, tongue, translating
from shaftside.sentence import either, moment, tell, tell_n

from .desk_plant import Desk, words

PO = Path(tongue.HERE) / "languages"


@pytest.mark.parametrize("path", sorted(PO.glob("*.po")), ids=lambda path: path.stem)
def test_every_text_of_the_desk_is_said_and_no_other(path: Path) -> None:
    problems = Problems()
    said = translating.read(path, problems)
    assert not problems.found
    every = texts.messages()
    assert len(every) > 200
    assert translating.faults(every, said) == []
    for english, (forms, _) in said.items():
        for one in forms:
            assert sorted(re.findall(r"<[^>]*>", one)) == sorted(re.findall(r"<[^>]*>", english)), english
            assert '"' not in re.sub(r"<[^>]*>", "", one), f"a straight quote would end an attribute: {english}"


def test_faults_are_found() -> None:
    every = {"%(n)s of %(m)s": texts.Message("%(n)s of %(m)s", "", ["a.html"]), "gone": texts.Message("gone", "", ["b.html"])}
    assert translating.faults(every, {"%(n)s of %(m)s": (("%(n)s de",), False), "old": (("viejo",), False)}) == [
        "nothing is said for “gone” (b.html)",
        "no page says “old”",
        "“%(n)s of %(m)s” fills in other places than its translation",
    ]


def test_a_text_that_is_not_written_out_is_refused() -> None:
    assert list(texts.of_module('tell_n("%(n)s day", "%(n)s " "days", 2)', "a.py")) == [("a.py", "%(n)s day", "%(n)s days")]
    with pytest.raises(texts.NotPlain):
        list(texts.of_module('tell(f"{n} days")', "a.py"))


def test_a_sentence_is_english_and_can_be_said_in_spanish_with_what_stands_in_it() -> None:
    es = tongue.tongues()["es"]
    sentence = tell("done %(at)s", at=moment("2026-03-02T08:15:00Z", False))
    assert sentence == "done 2026-03-02"
    assert es.put(sentence) == "hecho el 2 mar 2026"
    assert es.put(moment("2026-03-02T08:15:00Z")) == "2 mar 2026, 08:15 UTC"
    assert es.put(moment("soon")) == "soon"
    days = [tell_n("%(n)s day ago", "%(n)s days ago", n) for n in (1, 3)]
    assert [str(one) for one in days] == ["1 day ago", "3 days ago"]
    assert [es.put(one) for one in days] == ["hace 1 día", "hace 3 días"]
    assert es.put(either([tell("Lead"), tell("Planner")])) == "Responsable o Planificador"
    assert es.put("Lead") == "Lead", "what a person typed is never translated"


@pytest.mark.parametrize(
    ("kept", "accepts", "lang"),
    [
        (None, "", "en"),
        (None, "es-MX,es;q=0.9,en;q=0.8", "es"),
        (None, "fr, en;q=0.7, es;q=0.8", "es"),
        (None, "es;q=0, en", "en"),
        (None, "es;q=x", "en"),
        (None, "*", "en"),
        ("en", "es", "en"),
        ("es", "en", "es"),
        ("../es", "en", "en"),
    ],
)
def test_the_choice_comes_before_the_browser_and_english_is_left(kept: str | None, accepts: str, lang: str) -> None:
    assert tongue.chosen(kept, accepts) == lang


def spanish(desk: Desk, login: str = "") -> TestClient:
    client = desk.as_(login) if login else desk.browser()
    client.headers["accept-language"] = "es-ES,es;q=0.9"
    return client


def test_the_switch_stands_on_every_page_and_is_kept(desk: Desk) -> None:
    client = desk.browser()
    page = client.get("/desk/sign-in")
    assert page.headers["content-language"] == "en"
    assert '<html lang="en"' in page.text
    assert re.search(r'<button [^>]*name="lang" value="es" lang="es">Español</button>', page.text)
    back = client.post("/desk/preferences", data={"lang": "es", "back": "/desk/sign-in"})
    assert back.headers["content-language"] == "es"
    assert '<html lang="es"' in back.text
    assert 'lang="es" aria-current="true">Español' in back.text
    assert '<html lang="es"' in client.get("/desk/nothing").text, "errors too"
    assert '<html lang="en"' in client.post("/desk/preferences", data={"lang": "en", "back": "/desk/sign-in"}).text
    assert '<html lang="en"' in client.post("/desk/preferences", data={"lang": "xx", "back": "/desk/sign-in"}).text


def test_home_in_spanish(desk: Desk) -> None:
    page = words(spanish(desk, "maud").get("/desk/").text)
    for said in ("Hoy", "A la espera del visto bueno", "Toca ahora", "Reapretar los tornillos", "como pronto el", "ene 2026"):
        assert said in page, said
    english = words(desk.as_("maud").get("/desk/").text)
    assert "Check paint line and collar screw after 24 h of running" in english
    assert "es una traducción" in page
    assert "translation" not in english
