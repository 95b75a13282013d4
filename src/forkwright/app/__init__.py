"""The workbench in the browser: thin pages and a JSON API over the same calls as the command line."""

from forkwright.app.factory import create_app
from forkwright.app.options import Options

__all__ = ["Options", "create_app"]
