"""Stand-ins for the rooms behind the desk, so that its pages can be tried alone, with any string in any field.

The flows over the real rooms are in test_desk_flow.py; here only what the pages themselves do.
"""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

from fastapi import FastAPI, Request
from fastapi.responses import Response

from shaftside import pages
from shaftside.errors import ShaftsideError
from shaftside.pages import Person, Seat, SignIn
from shaftside.pages.ports import Device, OpenHere
from shaftside.records import DueLine, FailureLine, FailureView, JobLine, JobView, PositionLine, PositionView

AT = "2026-03-02T08:15:00.000Z"
HEAD = "cd" * 32
JOB = "0192f0c1-aaaa-7bbb-8ccc-0123456789ab"
POSITION = "0192f0c1-aaaa-7bbb-8ccc-0123456789aa"
FAILURE = "0192f0c1-aaaa-7bbb-8ccc-0123456789ac"
PEOPLE = {"tech": {"technician"}, "lead": {"lead"}, "plan": {"planner"}, "boss": {"admin"}}
PASSWORD = "four plain words here"
UNITS = {
    code: {"shown": shown, "system": system, "kinds": [kind], "also": [], "factor": factor, "zero": 0, "decimals": 3}
    for code, shown, system, kind, factor in [
        ("N.m", "N·m", "metric", "torque", 1.0),
        ("mm", "mm", "metric", "length", 0.001),
        ("in", "in", "inch", "length", 0.0254),
        ("h", "h", "both", "time", 3600.0),
    ]
}
FACTS = [
    {"name": "shaft_d", "kind": "length", "unit": "mm", "label": {"en": "Shaft diameter"}},
    {
        "name": "locking_method",
        "kind": "word",
        "label": {"en": "Locking"},
        "choices": [{"word": "cam_collar", "label": {"en": "Cam"}}, {"word": "ring_set_screws", "label": {"en": "Screws"}}],
    },
    {"name": "reversing", "kind": "yesno", "label": {"en": "Reversing"}},
]


def bundle(mark: str) -> dict[str, Any]:
    return {"calc": {"units": UNITS, "sheets": {}}, "facts": FACTS}


def procedure(mark: str) -> dict[str, Any]:
    return {
        "steps": [
            {"step": "prove", "phase": "make_safe", "do": {"en": f"Prove zero energy. {mark}"}, "readings": []},
            {
                "step": "measure",
                "phase": "work",
                "do": {"en": f"Measure. {mark}"},
                "readings": [{"reading": "gap", "label": {"en": f"Gap {mark}"}, "kind": "length", "unit": "mm"}],
            },
            {"step": "clean", "phase": "prepare", "do": {"en": f"Clean. {mark}"}, "readings": []},
        ]
    }


def state(mark: str = "", **more: Any) -> dict[str, Any]:
    """A job with one of everything; `mark` stands in every text that a person could have typed."""
    reading = {
        "event": "0192f0c1-aaaa-7bbb-8ccc-000000000001",
        "by": "tech",
        "at": AT,
        "verdict": "over",
        "after_proof": True,
        "body": {
            "step": "measure",
            "reading": "gap",
            "value": {"typed": f"0.4{mark}", "unit": "mm"},
            "instrument": {"name": f"Feeler {mark}", "calibrated": f"2026-01-01{mark}"},
            "afterwards": AT,
            "result": {
                "verdict": "over",
                "windows": [{"name": f"gap{mark}", "position": "over", "value": 0.4, "low": 0.1, "high": 0.3}],
                "checks": [{"name": f"check{mark}", "level": "stop"}],
            },
        },
    }
    return {
        "job": JOB,
        "position": POSITION,
        "machine": {"id": f"F-2{mark}", "name": f"Fan 2{mark}", "area": f"Drying{mark}"},
        "position_name": f"drive end{mark}",
        "procedure": "cam_collar_mount",
        "method": "cam_collar",
        "work": "mount",
        "bundle": "ab" * 32,
        "facts": {"shaft_d": {"typed": f"50{mark}", "unit": "mm"}, f"extra{mark}": {"text": mark}},
        "maker": {f"sheet{mark}.line": {"typed": f"8{mark}", "unit": "N.m", "document": f"Sheet {mark}", "revision": f"B{mark}"}},
        "started": {"by": "tech", "at": AT},
        "status": "completed",
        "zero_energy": {
            "proved": True,
            "proofs": [{"by": "tech", "at": AT, "how": f"Locked {mark}", "tried": f"Start tried {mark}", "event": "z", "claimed": False}],
            "lost": [{"by": "tech", "at": AT, "reason": f"Locks off {mark}"}],
        },
        "steps": {
            "prove": {"status": "done", "by": "tech", "at": AT, "event": "e1"},
            "measure": {"status": "done", "by": "tech", "at": AT, "event": "e2", "reason": f"note {mark}"},
            "clean": {"status": "not_applicable", "by": "tech", "at": AT, "event": "e3", "reason": f"no need {mark}"},
        },
        "readings": {"measure/gap": {"all": [reading], "current": reading["event"], "conflict": False}},
        "deviations": [{"event": "d1", "step": "measure", "text": f"rounded {mark}", "by": "tech", "at": AT}],
        "notes": [{"event": "n1", "text": f"a note {mark}", "by": "tech", "at": AT}],
        "photos": [{"event": "p1", "sha256": "ef" * 32, "step": "measure", "by": "tech", "at": AT}],
        "outstanding": [{"follow_up": "again", "title": {"en": f"Tighten again {mark}"}, "after": {"running_h": 24}}],
        "follow_ups_done": [],
        "workers": ["tech"],
        "claimed": ["ev1"],
        "refused": [{"event": "x1", "code": "bad_body", "reason": f"refused {mark}"}],
        "completed": {"by": "tech", "at": AT},
        "returned": [],
        "signed": None,
        "heads": [HEAD],
        "count": 9,
        **more,
    }


class StandInPlantValues:
    """One value in force and one withdrawn; `mark` stands in every text that a person could have typed."""

    def __init__(self, mark: str) -> None:
        self.mark = mark

    def all(self) -> list[dict[str, Any]]:
        m = self.mark
        value = {
            "plant_value": JOB, "line": f"sheet{m}.line{m}", "value": {"typed": f"8{m}", "unit": f"N.m{m}"}, "document": f"Sheet {m}",
            "revision": f"B{m}", "page": f"2{m}", "name": f"Lea {m}", "by": f"lead{m}", "at": AT, "where": {f"fact{m}": {"word": f"M8{m}"}},
            "set": [], "conflict": None, "withdrawn": None, "holds": True,
        }  # fmt: skip
        past = {**value, "plant_value": POSITION, "set": [{**value}, {**value}], "holds": False, "withdrawn": {"by": "lead", "at": AT, "reason": f"old {m}"}}
        return [value, past]


class StandInRecords:
    """Answers reads from one made-up job and writes down every act."""

    def __init__(self, mark: str = "") -> None:
        self.mark = mark
        self.plant_values = StandInPlantValues(mark)
        self.state = state(mark)
        self.blockers: list[dict[str, Any]] = []
        self.done: list[tuple[Any, ...]] = []
        self.refuse: ShaftsideError | None = None
        self.query: Any = None
        self.rows = [self.line()]

    def line(self, **more: Any) -> JobLine:
        m = self.mark
        return replace(
            JobLine(
                JOB, POSITION, f"drive end{m}", f"F-2{m}", f"Fan 2{m}", f"Drying{m}", "cam_collar", "mount", "cam_collar_mount",
                self.state["status"], AT, "tech", AT, "tech", None, None, AT, ["tech"], ["over"], "over", 1, 1, 1, 1, 9, None,
            ),
            **more,
        )  # fmt: skip

    def job(self, job_id: str) -> JobView:
        if job_id != JOB:
            raise ShaftsideError(404, "not_found", "There is no such job.")
        kinds = ["job_started", "reading_taken", "job_completed"]
        events = [
            {
                "hash": f"{i:02x}" * 32,
                "outcome": "kept",
                "received": AT,
                "event": {"id": f"ev{i}", "kind": kind, "actor": "tech", "wall": AT, "body": {}, "parents": [HEAD]},
            }
            for i, kind in enumerate(kinds)
        ]
        if self.state["signed"]:
            events.append(
                {
                    "hash": "99" * 32,
                    "outcome": "kept",
                    "received": AT,
                    "event": {
                        "id": "evs", "kind": "job_signed", "actor": "lead", "wall": AT, "parents": [HEAD],
                        "body": {"name": "Lea Lead", "role": "lead", "statement": "I accept.", "heads": [HEAD]},
                    },
                }
            )  # fmt: skip
        steps = [{"id": key, "status": one["status"], "missing": []} for key, one in self.state["steps"].items()]
        return JobView(JOB, self.state, {"steps": steps}, procedure(self.mark), bundle(self.mark), events, None, self.blockers)  # type: ignore[arg-type]

    def search(self, query: Any) -> list[JobLine]:
        self.query = query
        return self.rows

    def waiting_for_sign_off(self) -> list[JobLine]:
        return self.rows

    def last_received(self) -> dict[str, str]:
        return {"d1": AT}

    def due(self) -> list[DueLine]:
        return [DueLine(self.rows[0], "again", {"en": f"Tighten again {self.mark}"}, {"running_h": 24}, AT, AT)] if self.rows else []

    def failures(self, position: str | None = None) -> list[FailureLine]:
        m = self.mark
        return [FailureLine(FAILURE, POSITION, f"drive end{m}", f"F-2{m}", f"Fan 2{m}", "2026-03-09", "plan", AT, f"hot {m}", self.rows[0])] if self.rows else []

    def failure(self, failure_id: str) -> FailureView:
        body = {"position": POSITION, "found_on": "2026-03-09", "text": f"hot {self.mark}", "appearance": f"red {self.mark}"}
        event = {"kind": "failure_reported", "actor": "plan", "wall": AT, "body": body}
        return FailureView(FAILURE, {}, [{"hash": "", "event": event}], self.rows[0] if self.rows else None)  # type: ignore[list-item]

    def positions(self, text: str = "", *, retired: bool = False) -> list[PositionLine]:
        m = self.mark
        return [PositionLine(POSITION, f"drive end{m}", f"F-2{m}", f"Fan 2{m}", f"Drying{m}", "cam_collar", f"pillow{m}", False, AT)] if self.rows else []

    def position(self, position_id: str) -> PositionView:
        if position_id != POSITION:
            raise ShaftsideError(404, "not_found", "There is no such position.")
        held = {
            "machine": self.state["machine"], "name": f"drive end{self.mark}",
            "facts": {"shaft_d": {"typed": f"50{self.mark}", "unit": "mm"}}, "maker": self.state["maker"],
        }  # fmt: skip
        return PositionView(POSITION, held, [], self.rows, self.failures())

    def __getattr__(self, name: str) -> Any:
        if name not in ("sign", "send_back", "decide", "accept", "choose", "agree", "answer_claim", "act"):
            raise AttributeError(name)

        async def do(*given: Any) -> dict[str, Any]:
            if self.refuse:
                raise self.refuse
            self.done.append((name, *given))
            return {}

        return do


class StandInPeople:
    """Four people, one of each role; a cookie names who asks."""

    def __init__(self, mark: str = "") -> None:
        self.mark, self.done = mark, []  # type: ignore[var-annotated]
        self.empty = False

    async def seat(self, request: Request) -> Seat | None:
        who = request.cookies.get("as", "")
        return Seat(who, f"{who}{self.mark}", frozenset(PEOPLE[who]), "dev") if who in PEOPLE else None

    async def sign_in(self, request: Request, login: str, password: str, answer: Response) -> None:
        if login not in PEOPLE or password != PASSWORD:
            raise ShaftsideError(401, "wrong_sign_in", "That name and password do not go together.")
        answer.set_cookie("as", login)

    async def sign_out(self, request: Request, answer: Response) -> None:
        answer.delete_cookie("as")

    async def needs_setup(self) -> bool:
        return self.empty

    async def setup(self, *given: Any) -> None:
        if given[1] != "123":
            raise ShaftsideError(403, "wrong_code", "That is not the code.", field="code")

    async def invitation_name(self, token: str) -> str:
        if token != "good":
            raise ShaftsideError(404, "not_found", "This invitation is used, run out or wrong.")
        return f"Nina{self.mark}"

    async def accept(self, *given: Any) -> None:
        self.done.append(("accept", *given[1:4]))

    async def password_is(self, request: Request, person_id: str, password: str) -> bool:
        return password == PASSWORD

    async def persons(self) -> list[Person]:
        return [Person(key, f"{key}{self.mark}", f"{key}{self.mark}", frozenset(roles), False) for key, roles in PEOPLE.items()]

    async def invite(self, seat: Seat, name: str, roles: frozenset[str]) -> tuple[str, str | None]:
        self.done.append(("invite", name, roles))
        return "/desk/invitation/good", AT

    async def set_roles(self, seat: Seat, person_id: str, roles: frozenset[str]) -> None:
        self.done.append(("roles", person_id, roles))

    async def disable(self, seat: Seat, person_id: str) -> None:
        self.done.append(("disable", person_id))

    async def enable(self, seat: Seat, person_id: str) -> None:
        self.done.append(("enable", person_id))

    async def sign_ins(self, request: Request, person_id: str) -> list[SignIn]:
        return [SignIn("s1", f"phone{self.mark}", AT, AT, False)]

    async def devices(self) -> list[Device]:
        here = OpenHere("s1", "tech", f"tech{self.mark}", AT, AT)
        return [Device("d1", f"phone{self.mark}", AT, [f"tech{self.mark}"], [here]), Device("d2", "Desk browser", AT, [], [here])]

    async def revoke(self, seat: Seat, person_id: str, sign_in: str) -> None:
        self.done.append(("revoke", person_id, sign_in))


def app(mark: str = "") -> FastAPI:
    """The desk alone over the stand-ins."""
    made = FastAPI()
    made.state.records = StandInRecords(mark)
    made.state.desk_people = StandInPeople(mark)
    made.state.handbooks = SimpleNamespace(current=SimpleNamespace(data=bundle(mark)))
    made.include_router(pages.router())

    @made.exception_handler(ShaftsideError)
    async def refused(request: Request, error: ShaftsideError) -> Response:
        return await pages.error_page(request, error)

    return made
