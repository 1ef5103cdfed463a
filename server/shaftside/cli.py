"""The command line. Heavy rooms are imported only by the verb that needs them."""

from __future__ import annotations

import argparse
import os
import signal
import sys
from pathlib import Path
from typing import Any

from shaftside import __version__


def parser() -> argparse.ArgumentParser:
    """Every verb and its options."""
    out = argparse.ArgumentParser(
        prog="shaftside", description="Field installation checklist and torque guide for mounted bearings."
    )
    out.add_argument("--version", action="version", version=f"shaftside {__version__}")
    out.add_argument("--content", type=Path, help="folder that holds web/, procedures/ and demo_data/")
    out.add_argument("--plant", type=Path, help="the plant's own folder, on top of ours: it has a plant.yaml")
    verbs = out.add_subparsers(dest="verb", metavar="VERB")
    demo = verbs.add_parser("demo", help="an invented plant to try everything on, on this machine only")
    demo.add_argument("--port", type=_port, default=8420, help="8420 unless said; 0 takes a free one")
    serve = verbs.add_parser("serve", help="the real thing")
    serve.add_argument("--data", type=Path, help="folder of the database, photos and certificates")
    serve.add_argument("--host", help="address to listen on; 127.0.0.1 unless said")
    serve.add_argument("--port", type=_port, help="8420 unless said; 0 takes a free one")
    serve.add_argument(
        "--https",
        action="store_true",
        default=None,
        help="with a certificate authority of this machine's own",
    )
    serve.add_argument("--certificate", type=Path, help="the plant's own certificate (PEM)")
    serve.add_argument("--key", type=Path, help="its key (PEM)")
    serve.add_argument(
        "--insecure-lan", action="store_true", default=None, help="plain http beyond this machine"
    )
    check = verbs.add_parser("check", help="check a plant's own folder, or a whole one of procedures, sheets and tables")
    check.add_argument("folder", type=Path, nargs="?")
    texts = verbs.add_parser("texts", help="write or update the file in which a language is translated: shaftside texts es")
    texts.add_argument("lang", help="the language's code, as es or pt-BR")
    texts.add_argument("folder", type=Path, nargs="?", help="folder of procedures; ours unless said")
    texts.add_argument("--merge", type=Path, metavar="FILE", help="lay a JSON file of {English: translation} into it, as not reviewed")
    texts.add_argument("--desk", action="store_true", help="what the desk itself says, not the handbook")
    verify = verbs.add_parser("verify", help="recompute every record from its own inputs and handbook")
    verify.add_argument("--data", type=Path)
    verify.add_argument("job", nargs="?", help="one job's id; all without")
    migrate = verbs.add_parser("migrate", help="bring the database to the newest form")
    migrate.add_argument("--data", type=Path)
    from shaftside.calc import terminal

    terminal.add_parsers(verbs)
    return out


def _port(text: str) -> int:
    if not (text.isascii() and text.isdigit() and int(text) <= 65535):
        raise argparse.ArgumentTypeError(f"{text!r} is not a port; it takes a number from 0 to 65535")
    return int(text)


def main(arguments: list[str] | None = None) -> int:
    """Run a verb; the exit code. 0 done, 1 differences or a stop, 2 not understood or refused."""
    out = parser()
    said, rest = out.parse_known_args(arguments)
    if said.verb == "compute" and not any(one.startswith("-") for one in rest):
        said.inputs += rest  # name=value after an option: argparse has closed the list by then
    elif rest:
        out.error(f"unrecognized arguments: {' '.join(rest)}")
    if said.verb is None:
        out.print_help()
        return 2
    if said.verb in ("demo", "serve"):
        # told to end is the same as Ctrl-C: the demo clears its folder away, the database is closed
        signal.signal(signal.SIGTERM, signal.default_int_handler)
    try:
        return _run(said)
    except KeyboardInterrupt:
        print("Stopped.")
        return 0
    except BrokenPipeError:  # whoever read has read enough: `shaftside sheets | head`
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except Exception as problem:
        if not _expected(problem):
            raise
        print(f"shaftside {said.verb}: {problem}", file=sys.stderr)
        return 2


def _expected(problem: Exception) -> bool:
    """Whether a problem speaks for itself: those of the rooms, each with a whole sentence."""
    named = {
        "ContentMissing",
        "ContentError",
        "DatabaseProblem",
        "StartRefused",
        "ShaftsideError",
        "TlsProblem",
        "DemoProblem",
    }
    return type(problem).__name__ in named


def _given(said: argparse.Namespace) -> dict[str, object]:
    names = ("data", "host", "port", "https", "certificate", "key", "insecure_lan", "content", "plant")
    return {name: value for name in names if (value := getattr(said, name, None)) is not None}


def _in_order(data: dict[str, Any]) -> str:
    """What was found in order, and how much of it is the plant's own."""
    procedures, sheets = data["procedures"].values(), data["calc"]["sheets"].values()
    text = f"{len(procedures)} procedures, {len(sheets)} sheets: all in order."
    if "plant" in data:
        steps = {step["step"] for one in procedures if not one.get("plant") for step in one["steps"] if step.get("plant")}
        limits = sum(1 for one in sheets for check in one["checks"] if check.get("plant"))
        own = sum(1 for one in procedures if one.get("plant")), sum(1 for one in sheets if one.get("plant"))
        text += f" Of these the plant's own: {own[0]} procedures, {own[1]} sheets, {len(steps)} steps in ours, {limits} limits."
    return text


def _program(procedures: Path, own: Path | None, lang: str) -> dict[str, Any]:
    """The sheets' program, with its texts in a language of the handbook too."""
    from shaftside import calc

    if lang == "en":
        return calc.load(procedures, own).program
    from shaftside.handbook import build, languages  # a pack counts the texts of the whole handbook

    bundle = build(procedures, own)
    if lang not in bundle.data["languages"]:
        return dict(bundle.data["calc"])
    return dict(languages.told(bundle.data, bundle.packs["figures"].data["figures"], bundle.packs[lang].data)["calc"])


def _run(said: argparse.Namespace) -> int:
    from shaftside import content

    if said.verb in ("compute", "sheets"):
        from shaftside.calc import terminal

        return int(terminal.run(said, _program(content.folder("procedures", said.content), said.plant, getattr(said, "lang", "en"))))
    if said.verb == "check":
        from shaftside import handbook

        if said.folder and not said.folder.is_dir():
            raise content.ContentMissing(f"there is no folder {said.folder}.")
        own = said.plant
        if said.folder and handbook.is_plant(said.folder):
            said.folder, own = None, said.folder
        elif said.folder and not (said.folder / "facts.yaml").is_file():
            raise content.ContentMissing(f"{said.folder} has neither plant.yaml (a plant's own) nor facts.yaml (a whole handbook).")
        bundle = handbook.build(said.folder or content.folder("procedures", said.content), own)
        print(_in_order(bundle.data) + f" {bundle.hash[:12]}")
        for line in handbook.translating.unfinished(said.folder or content.folder("procedures", said.content), bundle):
            print(line)
        return 0
    if said.verb == "texts":
        from shaftside import handbook

        if said.desk:
            from shaftside.pages import translating

            given = handbook.translating.asked(said.lang, said.merge)
            return 2 if given is None else translating.run(said.lang, given)
        return handbook.translating.run(said.folder or content.folder("procedures", said.content), said.lang, said.merge, said.plant)
    if said.verb == "demo":
        from shaftside import demo

        return demo.run(said.port, said.content)
    from shaftside import serving
    from shaftside.app import Rooms
    from shaftside.settings import read

    settings = read(_given(said))
    if said.verb == "serve":
        return serving.serve(settings)
    rooms = Rooms(settings)
    try:
        if said.verb == "migrate":
            print("The database has the newest form.")
            return 0
        found = rooms.records.verify(said.job)
        for one in found:
            print(f"{one.record} {one.event or ''} {one.code}: {one.message}")
        print("Everything recomputes to what is recorded." if not found else f"{len(found)} differences.")
        return 1 if found else 0
    finally:
        rooms.close()
