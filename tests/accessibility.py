"""What an automated look at a page's accessibility finds.

The rules are those of WCAG 2.2 up to level AA, and what is known as best practice.
"""

from axe_playwright_python.async_playwright import Axe  # type: ignore[import-untyped]
from playwright.async_api import Page

_OPTIONS = {
    "resultTypes": ["violations"],
    # Its rules count target size as experimental; a thumb does not.
    "rules": {"target-size": {"enabled": True}},
}


async def violations(page: Page) -> list[str]:
    """Every violation on the page as it stands: the rule, and where it is broken."""
    found = await Axe().run(page, options=_OPTIONS)
    return [
        f"{each['id']}: {', '.join(str(node['target']) for node in each['nodes'])}: {each['help']}"
        for each in found.response["violations"]
    ]
