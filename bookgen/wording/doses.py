"""One dose: how it is written, and why it is not known what it holds."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    # how it is written
    "no-dose": "`{text:typed}` is not one dose: write {wanted:or}.",
    # why it is not known what it holds
    "dose-of-drops": "what {dose} weigh is not known",
    "dose-no-pieces": "{dose} is a number of pieces, and the formula makes none",
    "dose-other-pieces": "the formula makes {form}, and the dose is {dose}",
    "dose-without-density": "how much {dose} of it holds is not known without its density",
    "dose-beyond-batch": "a dose of {dose} is more than the whole batch as written",
    # the ways out
    "weigh-drops": "weigh them, and write it as in `dose: {drops} drops (0.52 g)`",
    "weigh-volume": "weigh 50 mL of it, and write `density:`",
    "count-dose": "write it as in `dose: 2 {form}`",
    "measure-dose": "write it in g, mL or drops",
    "mend-dose": "write a smaller dose, or a larger formula",
}
