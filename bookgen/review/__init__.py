"""The review: an ordered table of small rules, one family a file; it changes nothing."""

from .reviewing import Barred, Review, review
from .rule import BookRule, FormulaRule, Rule
from .table import RULES

__all__ = ["RULES", "Barred", "BookRule", "FormulaRule", "Review", "Rule", "review"]
