"""The table of rules, in the order of judging: what is written, then the amounts, then what rests on them."""

from __future__ import annotations

from ..findings import Severity
from . import (
    amounts,
    body,
    changes,
    droppers,
    limits,
    losses,
    materials,
    measuring,
    references,
    slips,
    spirits,
    spoiling,
    storage,
)
from .rule import AMOUNTS, PRODUCT, SOUND, BookRule, FormulaRule

ERROR, QUERY, NOTE = Severity.ERROR, Severity.QUERY, Severity.NOTE
LINES = frozenset({"ingredients"})
SUMS = AMOUNTS | {"figures"}
"""What a sum of lines rests on."""
KEEPS = frozenset({"pH", "preserved by"})
"""What a statement on spoiling rests on beside the product."""

BOOK_RULES: tuple[BookRule, ...] = (
    BookRule(name="cycle", severity=ERROR, judge=references.cycle),
    BookRule(name="no-formula", severity=QUERY, judge=slips.no_formula),
    BookRule(name="accepted-error", severity=QUERY, judge=slips.accepted_error),
    BookRule(name="no-balance", severity=QUERY, judge=measuring.no_balance),
    BookRule(name="balance-capacity", severity=QUERY, judge=measuring.balance_capacity),
    BookRule(name="keepers-water-period", severity=QUERY, judge=storage.keepers_water_period),
    BookRule(name="chapter-without-formulas", severity=QUERY, judge=materials.chapter_without_formulas),
    BookRule(name="only-a-name", severity=QUERY, judge=references.only_a_name),
    BookRule(name="implausible-density", severity=QUERY, judge=materials.implausible_density),
    BookRule(name="implausible-drop", severity=QUERY, judge=droppers.implausible_drop),
    BookRule(name="few-weighings", severity=QUERY, judge=droppers.few_weighings),
    BookRule(name="drop-spread", severity=QUERY, judge=droppers.drop_spread),
    BookRule(name="unknown-dropper", severity=QUERY, judge=materials.unknown_dropper),
    BookRule(name="spirit-and-water", severity=QUERY, judge=spirits.spirit_and_water),
    BookRule(name="ethanol-by-weight", severity=QUERY, judge=spirits.ethanol_by_weight),
    BookRule(name="content-beyond-form", severity=QUERY, judge=materials.content_beyond_form),
    BookRule(name="label-shares", severity=QUERY, judge=materials.label_shares),
    BookRule(name="two-substances", severity=ERROR, judge=limits.two_substances),
    BookRule(name="known-as-nothing", severity=QUERY, judge=limits.known_as_nothing),
    BookRule(name="water-not-written", severity=QUERY, judge=storage.water_not_written),
    BookRule(name="intermediate-by-volume", severity=QUERY, judge=references.intermediate_by_volume),
)
"""Rules that judge the book at once."""

# fmt: off
FORMULA_RULES: tuple[FormulaRule, ...] = (
    # references
    FormulaRule(name="missing-reference", severity=ERROR, judge=references.missing_reference, withdrawn=True),
    FormulaRule(name="ambiguous-name", severity=ERROR, judge=references.ambiguous_name, withdrawn=True),
    FormulaRule(name="no-file-yet", severity=QUERY, judge=references.no_file_yet),
    FormulaRule(name="withdrawn-ingredient", severity=ERROR, judge=references.withdrawn_ingredient),
    FormulaRule(name="unapproved-ingredient", severity=QUERY, judge=references.unapproved_ingredient),
    # how the lines are written
    FormulaRule(name="two-fills", severity=ERROR, judge=amounts.two_fills, spoils=True, withdrawn=True),
    FormulaRule(name="removed-fill", severity=ERROR, judge=amounts.removed_fill, spoils=True, withdrawn=True),
    FormulaRule(name="fill-beside-parts", severity=ERROR, judge=amounts.fill_beside_parts, rests_on=frozenset({"part"}),
                spoils=True, withdrawn=True),
    FormulaRule(name="about-beside-fill", severity=ERROR, judge=amounts.about_beside_fill, spoils=True, withdrawn=True),
    FormulaRule(name="fill-and-makes-differ", severity=ERROR, judge=amounts.fill_and_makes_differ, spoils=True,
                withdrawn=True),
    FormulaRule(name="added-without-evaporates", severity=ERROR, judge=losses.added_without_evaporates, rests_on=LINES,
                spoils=True, withdrawn=True),
    FormulaRule(name="added-and-made-up", severity=ERROR, judge=losses.added_and_made_up, spoils=True, withdrawn=True),
    FormulaRule(name="fill-evaporates", severity=ERROR, judge=losses.fill_evaporates, spoils=True, withdrawn=True),
    # what is not known
    FormulaRule(name="missing-density", severity=ERROR, judge=amounts.missing_density, rests_on=SUMS, spoils=True,
                withdrawn=True),
    FormulaRule(name="missing-product-density", severity=ERROR, judge=amounts.missing_product_density, rests_on=SUMS,
                spoils=True, withdrawn=True),
    FormulaRule(name="missing-drop-mass", severity=ERROR, judge=amounts.missing_drop_mass, rests_on=SUMS, spoils=True,
                withdrawn=True),
    FormulaRule(name="missing-content", severity=ERROR, judge=amounts.missing_content, rests_on=SUMS, spoils=True,
                withdrawn=True),
    FormulaRule(name="diluted-formula", severity=ERROR, judge=spirits.diluted_formula, rests_on=LINES,
                spoils=True, withdrawn=True),
    FormulaRule(name="strength-not-known", severity=ERROR, judge=spirits.strength_not_known, rests_on=LINES,
                spoils=True, withdrawn=True),
    FormulaRule(name="strength-too-weak", severity=ERROR, judge=spirits.strength_too_weak, rests_on=LINES,
                spoils=True, withdrawn=True),
    FormulaRule(name="water-for-strength", severity=ERROR, judge=spirits.water_for_strength, rests_on=LINES,
                spoils=True, withdrawn=True),
    FormulaRule(name="parts-without-weight", severity=ERROR, judge=amounts.parts_without_weight, rests_on=SUMS,
                spoils=True, withdrawn=True),
    FormulaRule(name="amount-not-known", severity=QUERY, judge=amounts.amount_not_known, rests_on=LINES),
    FormulaRule(name="not-known", severity=ERROR, judge=amounts.not_known, rests_on=SUMS, spoils=True, withdrawn=True),
    # the total
    FormulaRule(name="nothing-left-for-parts", severity=ERROR, judge=amounts.nothing_left_for_parts, rests_on=SUMS,
                spoils=True, withdrawn=True),
    FormulaRule(name="fill-beyond-total", severity=ERROR, judge=amounts.fill_beyond_total, rests_on=SUMS, spoils=True,
                withdrawn=True),
    FormulaRule(name="volumes-beyond-whole", severity=ERROR, judge=amounts.volumes_beyond_whole, rests_on=SUMS,
                spoils=True, withdrawn=True),
    FormulaRule(name="total-misses", severity=ERROR, judge=amounts.total_misses, rests_on=SUMS, spoils=True,
                withdrawn=True),
    FormulaRule(name="makes-nothing", severity=ERROR, judge=amounts.makes_nothing, rests_on=SUMS, spoils=True,
                withdrawn=True),
    FormulaRule(name="nothing-for-the-fill", severity=QUERY, judge=amounts.nothing_for_the_fill, rests_on=SUMS),
    FormulaRule(name="fixed-drop-weight", severity=QUERY, judge=slips.fixed_drop_weight, rests_on=LINES),
    FormulaRule(name="adjusted-beyond-ph", severity=QUERY, judge=slips.adjusted_beyond_ph,
                rests_on=frozenset({"pH", "ingredients"})),
    FormulaRule(name="about-misses", severity=NOTE, judge=amounts.about_misses, rests_on=SUMS),
    # losses
    FormulaRule(name="left-beyond-amount", severity=ERROR, judge=amounts.left_beyond_amount, rests_on=SUMS, spoils=True,
                withdrawn=True),
    FormulaRule(name="evaporates-beyond-line", severity=ERROR, judge=losses.evaporates_beyond_line, rests_on=SUMS,
                spoils=True, withdrawn=True),
    FormulaRule(name="tiny-yield", severity=QUERY, judge=losses.tiny_yield),
    FormulaRule(name="nothing-remains", severity=ERROR, judge=losses.nothing_remains, rests_on=SUMS, spoils=True,
                withdrawn=True),
    # the method
    FormulaRule(name="amount-link-to-nothing", severity=ERROR, judge=body.amount_link_to_nothing, rests_on=LINES,
                withdrawn=True),
    FormulaRule(name="portions-beyond-whole", severity=ERROR, judge=body.portions_beyond_whole, rests_on=LINES,
                withdrawn=True),
    FormulaRule(name="typed-quantity", severity=QUERY, judge=body.typed_quantity, rests_on=SUMS),
    FormulaRule(name="typed-quantity-differs", severity=NOTE, judge=body.typed_quantity_differs, rests_on=SUMS),
    # the bench
    FormulaRule(name="below-least-weighable", severity=QUERY, judge=measuring.below_least_weighable, rests_on=SUMS),
    # limits of the law for cosmetics
    FormulaRule(name="prohibited", severity=ERROR, judge=limits.prohibited, rests_on=LINES),
    FormulaRule(name="limit-for-other-use", severity=ERROR, judge=limits.limit_for_other_use,
                rests_on=PRODUCT | {"use"}),
    FormulaRule(name="beyond-limit", severity=ERROR, judge=limits.beyond_limit, rests_on=PRODUCT | {"use", "kind"}),
    FormulaRule(name="perhaps-beyond-limit", severity=QUERY, judge=limits.perhaps_beyond_limit,
                rests_on=PRODUCT | {"use", "kind"}),
    # storage and use
    FormulaRule(name="unpreserved-at-risk", severity=ERROR, judge=spoiling.unpreserved_at_risk,
                rests_on=PRODUCT | {"use", *KEEPS}),
    FormulaRule(name="unpreserved-in-cupboard", severity=ERROR, judge=spoiling.unpreserved_in_cupboard,
                rests_on=PRODUCT | {"storage", *KEEPS}),
    FormulaRule(name="unpreserved-too-long", severity=ERROR, judge=spoiling.unpreserved_too_long,
                rests_on=PRODUCT | {"storage", *KEEPS}),
    FormulaRule(name="unpreserved-not-cold", severity=QUERY, judge=spoiling.unpreserved_not_cold,
                rests_on=PRODUCT | {"storage", *KEEPS}),
    FormulaRule(name="alcohol-not-known", severity=QUERY, judge=spoiling.alcohol_not_known,
                rests_on=PRODUCT | {"storage"}),
    FormulaRule(name="preservative-in-doubt", severity=QUERY, judge=spoiling.preservative_in_doubt,
                rests_on=PRODUCT | {"pH"}),
    FormulaRule(name="mistaken-preservative", severity=QUERY, judge=spoiling.mistaken_preservative, rests_on=PRODUCT),
    FormulaRule(name="preserved-by-word", severity=QUERY, judge=spoiling.preserved_by_word,
                rests_on=PRODUCT | {"pH", "preserved by"}),
    FormulaRule(name="water-enters-in-use", severity=QUERY, judge=spoiling.water_enters_in_use,
                rests_on=PRODUCT | {"water enters in use"}),
    FormulaRule(name="preservative-by-intermediate", severity=QUERY, judge=spoiling.preservative_by_intermediate,
                rests_on=PRODUCT),
    FormulaRule(name="intermediate-kept-colder", severity=QUERY, judge=spoiling.intermediate_kept_colder,
                rests_on=PRODUCT | {"storage"}),
    FormulaRule(name="period-beyond-rule", severity=QUERY, judge=storage.period_beyond_rule,
                rests_on=PRODUCT | {"storage", "kind", *KEEPS}),
    FormulaRule(name="storage-missing", severity=QUERY, judge=storage.storage_missing,
                rests_on=PRODUCT | {"storage", "kind", "use"}),
    FormulaRule(name="use-missing", severity=QUERY, judge=storage.use_missing, rests_on=frozenset({"use", "kind"})),
    FormulaRule(name="contact-missing", severity=QUERY, judge=storage.contact_missing,
                rests_on=frozenset({"use", "kind"})),
    # the change log
    FormulaRule(name="change-beyond-issue", severity=QUERY, judge=changes.change_beyond_issue,
                rests_on=frozenset({"changes", "issue"})),
    FormulaRule(name="issue-without-change", severity=QUERY, judge=changes.issue_without_change,
                rests_on=frozenset({"changes", "issue"})),
    FormulaRule(name="change-dates", severity=QUERY, judge=changes.change_dates, rests_on=frozenset({"changes"})),
    FormulaRule(name="figures-without-issue", severity=QUERY, judge=changes.figures_without_issue,
                rests_on=PRODUCT | {"issue", SOUND}),
)
# fmt: on
"""Rules that judge one formula."""

RULES: tuple[BookRule | FormulaRule, ...] = (*BOOK_RULES, *FORMULA_RULES)
"""All rules, in the order of judging."""
