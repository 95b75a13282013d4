"""Pages from templates: each gets the navigation, the units, the palette and the addresses of its files."""

from __future__ import annotations

import json
from importlib.metadata import version
from pathlib import Path
from typing import Any

from fastapi import Request
from fastapi.responses import HTMLResponse
from jinja2 import Environment, FileSystemLoader, StrictUndefined, select_autoescape
from markupsafe import Markup

from forkwright.app.assets import Assets
from forkwright.app.demo_bench import demo_bench
from forkwright.app.navigation import Page, grouped
from forkwright.app.unit_table import unit_table
from forkwright.sheets import palette

_FOLDER = Path(__file__).parent / "templates"


class Renderer:
    """Turns a template's name and its values into a page."""

    def __init__(self, assets: Assets, pages: list[Page]) -> None:
        self._environment = Environment(
            loader=FileSystemLoader(_FOLDER),
            autoescape=select_autoescape(("html",)),
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
        )
        self._environment.filters["data_block"] = data_block
        self._shared: dict[str, Any] = {
            "version": version("forkwright"),
            "page_groups": grouped(pages),
            "asset": assets.url,
            "bench_data": {
                "units": unit_table(),
                "palette": palette_for_pages(),
                "demo": demo_bench(),
            },
        }

    def page(self, request: Request, template: str, *, title: str, **values: Any) -> HTMLResponse:
        """Answer with a page.

        Parameters
        ----------
        request : fastapi.Request
            The request that asks for it; its path marks the entry in the navigation.
        template : str
            File in `app/templates`.
        title : str
            Window title and heading.
        **values
            What the template uses beside the shared values.
        """
        return HTMLResponse(self.page_text(request, template, title=title, **values))

    def page_text(self, request: Request, template: str, *, title: str, **values: Any) -> str:
        """Return the page as text; the same parameters as `page`."""
        values = {"charts": False, "data": {}, **values}
        path = request.url.path
        person = getattr(request.state, "person", None)  # who is signed in, on a shared workbench
        return self._environment.get_template(template).render(
            **self._shared, title=title, within=_within(path), person=person, **values
        )


def _within(path: str) -> tuple[str, ...]:
    """Return an address and all that it lies under, so that a sheet of a job marks the page of the jobs."""
    parts = path.rstrip("/").split("/")
    return tuple("/".join(parts[: count + 1]) for count in range(1, len(parts)))


def data_block(value: object) -> Markup:
    """Return JSON that is safe inside a script element of type application/json.

    Examples
    --------
    >>> print(data_block({"name": "</script>"}))
    {"name": "\\u003c/script>"}
    """
    text = json.dumps(value, allow_nan=False, ensure_ascii=False)
    return Markup(text.replace("<", "\\u003c").replace("\u2028", "\\u2028").replace("\u2029", "\\u2029"))


def palette_for_pages() -> dict[str, Any]:
    """Return curve colours and line styles as the pages use them."""
    return {
        "light": palette.series_colours(),
        "dark": palette.series_colours(dark=True),
        "styles": palette.LINE_STYLES,
    }
