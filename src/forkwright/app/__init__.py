"""The workbench in the browser: thin pages and a JSON API over the same calls as the command line.

No formula stands here: a page asks, a room below answers, and what is here turns the one into the other. In
what order to read it:

- the server: `options`, `factory` puts it together, `state` hands its parts to the calls, `navigation` finds
  the pages, `guard` and `compression` stand before them, `failures` puts errors into words;
- what a call says of itself: `acts`; who asks: `visitors`;
- what comes in: `drafts` (a file and what was changed on it), `question` (units and the day), `form`;
- what goes out: `wire` (JSON), `rendering`, `assets`, `demo_bench` and `unit_table` (given to every page),
  `drawings`, `adjusters`, `setting_edits` (a setting as what to change on a draft);
- work that takes longer: `jobs`, `apart` in a process of its own, `while_wanted` until nobody waits for it;
- one module for each page in `pages`, calls that pages share in `api`;
- answers too long for their page's module: the damper's in `damper_answer`, `dynamometer` and `revalving`,
  asked as in `damper_questions`; the comparison's in `compare_answer`; the stroke's in `show_answer`, from
  `stroke` by `story`, `story_spring` and `story_damper`;
- answers that fill a package: `ride`, `tuning`, `rear`, `evidence`, `blind`, `workshop`; and `sharing`, which
  lets others on the network in;
- the answers' shapes, for the API's description: `answer_shapes`, `compare_shapes`, `damper_shapes`,
  `dyno_shapes`, `show_shapes`, `hose_chassis_shapes`, and in each package its own.
"""

from forkwright.app.factory import create_app
from forkwright.app.options import Options

__all__ = ["Options", "create_app"]
