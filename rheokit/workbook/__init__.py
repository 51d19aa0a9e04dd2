"""One folder a paste: what was measured (`bench.toml`) and what is planned with it (`plan.toml`).

`asked` is the one table of what a plan may say, `plan` reads and writes it, `shelf` knows the folders; a page makes its fields
of these.
"""

from .asked import ASKED, Entry
from .made import NotKnownYet
from .new import new_workbook
from .opened import Workbook
from .plan import Assumed, Overtaken, Plan
from .shelf import as_it_came, demo, demos, is_demo, last, mine, place_of_plan, remember, remembered
from .standing import standing_of

__all__ = [
    "ASKED", "Assumed", "Entry", "NotKnownYet", "Overtaken", "Plan", "Workbook", "as_it_came", "demo", "demos", "is_demo", "last", "mine", "new_workbook",
    "place_of_plan", "remember", "remembered", "standing_of",
]  # fmt: skip
