"""Generated pages are what the code would write now; documents name only what is there."""

import re
from pathlib import Path

import pytest

from tools.pages import pages

ROOT = Path(__file__).parents[2]
PAGES = pages()
GUIDES = ["docs/threats.md", "docs/how-to/serve.md", "docs/how-to/visit.md", "docs/reference/store.md"]


@pytest.mark.parametrize("name", sorted(PAGES))
def test_a_generated_page_is_up_to_date(name: str) -> None:
    assert (ROOT / name).read_text(encoding="utf-8") == PAGES[name], f"{name} is old: run `make docs`"


@pytest.mark.parametrize("page", ["hazards.md", "threats.md"])
def test_every_test_that_hazards_and_threats_name_exists(page: str) -> None:
    named = re.findall(r"`(tests/[^`]+)`", (ROOT / "docs" / page).read_text(encoding="utf-8"))
    assert len(named) > 10
    for name in named:
        file, _, function = name.partition("::")
        text = (ROOT / file).read_text(encoding="utf-8")
        assert f"def {function}(" in text if function else text


@pytest.mark.parametrize("page", ["README.md", "CONTRIBUTING.md", "docs/nomenclature.md", "docs/hazards.md", *GUIDES])
def test_every_link_leads_somewhere(page: str) -> None:
    text = (ROOT / page).read_text(encoding="utf-8")
    for target in re.findall(r"\]\(([^)#:]+)\)", text):
        assert ((ROOT / page).parent / target).exists(), target


def test_every_make_target_that_is_promised_exists() -> None:
    makefile = (ROOT / "Makefile").read_text(encoding="utf-8")
    for target in ("demo", "test", "check", "soak", "bench", "docs"):
        assert re.search(rf"^{target}:", makefile, re.MULTILINE)
