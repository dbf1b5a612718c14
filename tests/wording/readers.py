"""What reads one text each: those of the advice, and what else is typed at the bench."""

from __future__ import annotations

from bookgen.model import DecimalSign, PieceForm
from bookgen.source.asked import read_balance
from bookgen.source.batches import read_asked_for
from bookgen.source.codes import read_base, read_code
from bookgen.source.doses import read_dose
from bookgen.source.mixing import read_dilution, read_mixing
from bookgen.source.obtain import read_to_obtain
from bookgen.source.pieces import read_capsule, read_displaces, read_mould
from bookgen.source.saponification import read_saponification
from bookgen.source.values import read_language, read_share_or_none, read_yes_no

from ..source.test_advice import READERS as OF_THE_ADVICE
from ..source.test_advice import Reader, sign

DILUTION = ("96%vol", "to", "70%vol")

READERS: dict[str, Reader] = {
    **OF_THE_ADVICE,
    "yes or no": read_yes_no,
    "language": read_language,
    "code": read_code,
    "base": read_base,
    "share or none": read_share_or_none,
    "balance": lambda text, comma: read_balance(text),
    "mould": read_mould,
    "capsule": read_capsule,
    "dose": read_dose,
    "displaces": read_displaces,
    "saponification": read_saponification,
    "capsules to obtain": lambda text, comma: read_to_obtain(text, comma, form=PieceForm.CAPSULES),
    "batch on record": read_asked_for,
    "dilute": lambda text, comma: read_dilution(text.split(), decimal=sign(comma)),
    "dilute, obtain": lambda text, comma: read_dilution(DILUTION, obtain=text, decimal=sign(comma)),
    "dilute, from": lambda text, comma: read_dilution(DILUTION, use_up=text, decimal=sign(comma)),
    "dilute, at": lambda text, comma: read_dilution(DILUTION, at=text, decimal=sign(comma)),
    "dilute 5 %, at": lambda text, comma: read_dilution(("5%", "to", "1%"), at=text, decimal=DecimalSign.POINT),
    "dilute 5 g, from": lambda text, comma: read_dilution(("5 g of 5%", "to", "1%"), use_up=text),
    "mix": lambda text, comma: read_mixing(text.split(), decimal=sign(comma)),
    "mix, obtain": lambda text, comma: read_mixing(("5 %", "1 % w/v", "to", "2 % w/v"), obtain=text),
    "mix w/v, obtain": lambda text, comma: read_mixing(("5 % w/v", "1 % w/v", "to", "2 % w/v"), obtain=text),
    "mix 5 %, obtain": lambda text, comma: read_mixing(("5 %", "1 %", "to", "2 %"), obtain=text),
    "mix w/w, obtain": lambda text, comma: read_mixing(("5 % w/w", "1 % w/w", "to", "2 % w/w"), obtain=text),
}
