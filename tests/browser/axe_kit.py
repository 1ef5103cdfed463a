"""axe-core over whatever page is open, once everything that gives it its looks is there."""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import Page

AXE = Path(__file__).resolve().parents[1] / "web/node_modules/axe-core/axe.min.js"
RULES = "['wcag2a','wcag2aa','wcag21a','wcag21aa','wcag22aa','best-practice']"
# A page that came by a click is there before its styles are: axe would measure plain links.
DRESSED = """async () => {
    await document.fonts.ready;
    return [...document.querySelectorAll('link[rel=stylesheet]')].filter((link) => !link.sheet).map((link) => link.href);
}"""


def violations(page: Page, name: str) -> list[str]:
    """What axe finds wrong: the page's name, the rule, the first places."""
    page.wait_for_load_state("load")
    bare = page.evaluate(DRESSED)
    assert bare == [], f"{name} lacks its styles: {bare}"
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE.read_text(encoding="utf-8"))
    said = page.evaluate(f"axe.run(document, {{runOnly: {RULES}, resultTypes: ['violations']}})")
    return [f"{name}: {one['id']}: {[node['html'][:100] for node in one['nodes']][:2]}" for one in said["violations"]]
