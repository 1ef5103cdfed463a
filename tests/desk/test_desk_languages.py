"""The desk in each language that is not English: every sentence translated, the language a reader gets, days as that language writes them."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from html.parser import HTMLParser
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from jinja2 import Environment, nodes
from sqlalchemy import select

from shaftside.calc.problems import Problems
from shaftside.handbook import languages
from shaftside.pages import texts, tongue, translating
from shaftside.pages.render import engine
from shaftside.records.log import EVENT
from shaftside.sentence import either, moment, tell, tell_n

from .desk_plant import Desk, words

ROOT = Path(__file__).resolve().parents[2]
PO = Path(tongue.HERE) / "languages"
LANGS = sorted(path.stem for path in PO.glob("*.po"))
CLAIMS: dict[str, str] = json.loads((ROOT / "tests" / "handbook" / "claims.json").read_text("utf-8"))  # what would call a machine safe


@dataclass(frozen=True)
class Told:
    """What a language says of the same things. name: in itself; browser: what its browser asks for; month: of the first job that is due."""

    name: str
    browser: str
    done: str
    moment: str
    ago: list[str]
    either: str
    month: str
    find: str  # "taper"


TOLD = {
    "es": Told("Español", "es-ES,es;q=0.9", "hecho el 2 mar 2026", "2 mar 2026, 08:15 UTC", ["hace 1 día", "hace 3 días"], "Responsable o Planificador", "ene 2026", "cono"),
    "de": Told("Deutsch", "de-AT,de;q=0.9", "erledigt am 02.03.2026", "02.03.2026, 08:15 UTC", ["vor 1 Tag", "vor 3 Tagen"], "Vorarbeiter oder Planer", ".01.2026", "kegel"),
}  # fmt: skip


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
            assert not re.search(CLAIMS[path.stem], one, re.I), f"calls a machine safe: {one}"


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


@pytest.mark.parametrize("lang", LANGS)
def test_a_sentence_is_english_and_can_be_said_in_each_language_with_what_stands_in_it(lang: str) -> None:
    own, told = tongue.tongues()[lang], TOLD[lang]
    sentence = tell("done %(at)s", at=moment("2026-03-02T08:15:00Z", False))
    assert sentence == "done 2026-03-02"
    assert own.put(sentence) == told.done
    assert own.put(moment("2026-03-02T08:15:00Z")) == told.moment
    assert own.put(moment("soon")) == "soon"
    days = [tell_n("%(n)s day ago", "%(n)s days ago", n) for n in (1, 3)]
    assert [str(one) for one in days] == ["1 day ago", "3 days ago"]
    assert [own.put(one) for one in days] == told.ago
    assert own.put(either([tell("Lead"), tell("Planner")])) == told.either
    assert own.put("Lead") == "Lead", "what a person typed is never translated"


@pytest.mark.parametrize(
    ("kept", "accepts", "lang"),
    [
        (None, "", "en"),
        (None, "es-MX,es;q=0.9,en;q=0.8", "es"),
        (None, "fr, en;q=0.7, es;q=0.8", "es"),
        (None, "de-AT,de;q=0.9,en;q=0.8", "de"),
        (None, "fr, es;q=0.7, de;q=0.8", "de"),
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


def reader(desk: Desk, lang: str, login: str = "") -> TestClient:
    client = desk.as_(login) if login else desk.browser()
    client.headers["accept-language"] = TOLD[lang].browser
    return client


@pytest.mark.parametrize("lang", LANGS)
def test_the_switch_stands_on_every_page_and_is_kept(desk: Desk, lang: str) -> None:
    name = TOLD[lang].name
    client = desk.browser()
    page = client.get("/desk/sign-in")
    assert page.headers["content-language"] == "en"
    assert '<html lang="en"' in page.text
    assert re.search(rf'<button [^>]*name="lang" value="{lang}" lang="{lang}">{name}</button>', page.text)
    back = client.post("/desk/preferences", data={"lang": lang, "back": "/desk/sign-in"})
    assert back.headers["content-language"] == lang
    assert f'<html lang="{lang}"' in back.text
    assert f'lang="{lang}" aria-current="true">{name}' in back.text
    assert f'<html lang="{lang}"' in client.get("/desk/nothing").text, "errors too"
    assert '<html lang="en"' in client.post("/desk/preferences", data={"lang": "en", "back": "/desk/sign-in"}).text
    assert '<html lang="en"' in client.post("/desk/preferences", data={"lang": "xx", "back": "/desk/sign-in"}).text


def said_at_the_desk(lang: str, english: str) -> str:
    return translating.read(PO / f"{lang}.po", Problems())[english][0][0]


@pytest.mark.parametrize("lang", LANGS)
def test_home_in_each_language(desk: Desk, lang: str) -> None:
    page = words(reader(desk, lang, "maud").get("/desk/").text)
    english = words(desk.as_("maud").get("/desk/").text)
    soonest = said_at_the_desk(lang, "soonest %(at)s, %(ago)s").split("%")[0].strip()
    for text in ("Today", "Waits for sign-off", "Due now"):
        assert text in english
        assert said_at_the_desk(lang, text) in page, text
    book = languages.read(ROOT / "procedures" / "languages" / f"{lang}.po", lang, Problems())
    due = "Check paint line and collar screw after 24 h of running"
    assert due in english
    assert book is not None
    assert book.said["", due].text, "the handbook says it in this language"
    assert book.said["", due].text in page, "the handbook's own words, out of the record's bundle"
    assert soonest in page
    assert TOLD[lang].month in page
    notice = next(one for one in translating.read(PO / f"{lang}.po", Problems()) if one.startswith("This page is a translation"))
    assert words(said_at_the_desk(lang, notice)) in page
    assert "translation" not in english


HERE_SAID = re.compile(r"[^\W\d_]{2,}")
SPOKEN = ("aria-label", "alt", "title", "data-label", "placeholder")
OWN_WORDS = {"Shaftside"}


def bare(template: str) -> list[str]:
    """Texts that stand in a template outside the catalogue: between its tags, in an attribute that is read out, in an expression."""
    engine = Environment(extensions=["jinja2.ext.i18n"])
    engine.newstyle_gettext = True  # type: ignore[attr-defined]
    tree = engine.parse(template)
    data = "".join(one.data if isinstance(one, nodes.TemplateData) else "\0" for one in tree.find_all((nodes.TemplateData, nodes.Name)))
    found = re.sub(r"<[^>]*>", "\n", data.replace("\0", "")).split("\n")
    for name in SPOKEN:
        found += re.findall(rf'{name}="([^"\0]*)"', data)
    found += [
        one.value
        for call in tree.find_all(nodes.Output)
        for one in call.find_all(nodes.Const)
        if isinstance(one.value, str) and (" " in one.value.strip(" ·,;") or one.value[:1].isupper())
    ]
    said = {one.value for call in tree.find_all(nodes.Call) if getattr(call.node, "name", "") in ("_", "gettext", "ngettext") for one in call.find_all(nodes.Const)}
    return [text.strip() for text in found if HERE_SAID.search(text) and text not in said and text.strip(" ·\n") not in OWN_WORDS]


@pytest.mark.parametrize(("lang", "lower", "upper"), [("en", "set screws", "Set screws"), ("es", "set screws", "Set screws"), ("de", "Set Screws", "Set Screws")])
def test_a_noun_keeps_its_capital_in_a_language_that_writes_nouns_so(lang: str, lower: str, upper: str) -> None:
    made = engine(lang)
    assert made.from_string("{{ 'Set Screws'|lower }}").render() == lower
    assert made.from_string("{{ one|capitalize }}").render(one=lower) == upper


@pytest.mark.parametrize("path", texts.template_files(), ids=lambda path: path.stem)
def test_no_text_stands_bare_in_a_template(path: Path) -> None:
    assert bare(path.read_text("utf-8")) == []


def test_a_bare_text_is_found() -> None:
    assert bare("<p>Not said.</p>{{ _('said') }}{% trans %}said <b>too</b>{% endtrans %}") == ["Not said."]
    assert bare('<p aria-label="Read out">{{ x }}</p>') == ["Read out"]
    assert bare("{{ p.field('name', 'Your name') }}") == ["Your name"]
    assert bare("{{ 'Yes' if x else 'it is not' }}") == ["Yes", "it is not"]


ENGLISH = frozenset(["the", "of", "is", "are", "was", "were", "and", "with", "not", "that", "this", "its", "at", "from", "to", "for", "has", "have", "nobody", "which", "when", "where", "before", "after", "you", "your"])
ALSO_THEIRS = {"de": {"was", "not"}}  # words of a language that look English
QUOTED = {"quote", "calc-source", "source"}


class Shown(HTMLParser):
    """The texts of a page that are the desk's or the handbook's; what somebody wrote, code and what is marked as English left out."""

    def __init__(self) -> None:
        super().__init__()
        self.stack: list[tuple[str, bool]] = []
        self.texts: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        held = {name: value or "" for name, value in attrs}
        self.texts += [held[name] for name in SPOKEN if held.get(name) and "formula" not in held.get("class", "")]
        if tag not in ("meta", "link", "input", "img", "br", "path"):
            out = held.get("lang") == "en" or tag in ("code", "math", "textarea", "option", "blockquote", "dd") or bool(QUOTED & set(held.get("class", "").split()))
            self.stack.append((tag, out or "formula" in held.get("class", "")))

    def handle_endtag(self, tag: str) -> None:
        while self.stack and self.stack.pop()[0] != tag:
            pass

    def handle_data(self, data: str) -> None:
        if data.strip() and not any(out for _, out in self.stack):
            self.texts.append(" ".join(data.split()))


def pieces(text: str) -> set[str]:
    """A text cut where a page may have joined it."""
    return {part.strip(" .") for part in re.split(r"[·:;,()–„“”«»]|\. ", text)}


def english(page: str, known: set[str], lang: str = "en") -> list[str]:
    """Texts with English in them that nobody wrote into the record; known: what is in the record; lang: what the page should be in."""
    shown = Shown()
    shown.feed(page)

    def left(text: str) -> set[str]:
        return (ENGLISH - ALSO_THEIRS.get(lang, set())) & set(re.findall(r"[a-z]+", " ".join(pieces(text) - known).lower()))

    return [text for text in shown.texts if len(left(text)) > 1]


def pages(desk: Desk, find: str) -> list[str]:
    """An address of every sort."""
    job = desk.rooms.records
    stories = [one for name, one in desk.examples.items() if not name.startswith("f_")]
    position = job.positions("")[0].position
    failure = job.failures()[0].failure
    jobs = [f"/desk/jobs/{one}{part}" for one in stories[:4] for part in ("", "/working", "/print")]
    waiting = [f"/desk/jobs/{one.job}/sign" for one in job.waiting_for_sign_off()]
    rest = ["/desk/", "/desk/jobs", "/desk/jobs?since=x", "/desk/positions", f"/desk/positions/{position}", "/desk/positions/import", "/desk/failures", f"/desk/failures/{failure}",
            "/desk/sheets", f"/desk/sheets?find={find}", "/desk/sheets/taper_drive_up", "/desk/sheets/screw_preload", "/desk/plant-values", "/desk/plant-values/set",
            "/desk/plant-values/set?sheet=screw_preload", "/desk/calendar", "/desk/read-in", "/desk/labels", f"/desk/labels?position={position}", "/desk/me", "/desk/nothing"]  # fmt: skip
    return [*rest, *jobs, *waiting]


def record_texts(desk: Desk) -> set[str]:
    """Everything that people wrote into the records, in pieces; not the handbook's titles that a record copies."""
    with desk.rooms.database.read_core() as connection:
        events = [json.loads(raw) for raw in connection.execute(select(EVENT.c.raw)).scalars()]
    whole = json.dumps([{**one["body"], "outstanding": []} for one in events], ensure_ascii=False)
    return set().union(*(pieces(one) for one in set(re.findall(r'"((?:[^"\\]|\\.)*)"', whole))))


@pytest.mark.parametrize("lang", LANGS)
def test_every_page_is_whole_in_each_language(desk: Desk, lang: str) -> None:
    client = reader(desk, lang, "maud")
    known = record_texts(desk)
    left = {}
    for path in pages(desk, TOLD[lang].find):
        answer = client.get(path)
        assert answer.status_code == (404 if path.endswith("nothing") else 200), path
        assert f'<html lang="{lang}"' in answer.text, path
        found = english(answer.text, known, lang)
        if found:
            left[path] = found
    assert left == {}


def test_a_page_left_in_english_would_be_found(desk: Desk) -> None:
    page = desk.as_("maud").get("/desk/").text
    assert len(english(page, set())) > 5
