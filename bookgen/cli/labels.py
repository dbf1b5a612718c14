"""The command for labels: what hangs on the jars of one batch."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from .start import (
    BOOK_ERRORS,
    checked_book,
    common,
    date_option,
    day_option,
    main,
    pdf_option,
    say,
    today_or,
    told_at_the_bench,
)


@main.command()
@click.argument("code")
@click.option("--obtain", metavar="BATCH", help='What comes out: "12 x 50 mL + 5 %", "250 g".')
@click.option("--into", metavar="CONTENT", help='What one container holds: "50 mL", "30 capsules".')
@click.option("--count", type=click.IntRange(1, 9999), metavar="N", help="How many (default: one a full container).")
@click.option(
    "--from-field", "first", type=click.IntRange(1, 9999), default=1, metavar="N", help="The first field that is free."
)
@click.option("--size", metavar="SIZE", help='One label a page, of this size: "70 x 40 mm".')
@click.option("--after-opening", "opening", metavar="PERIOD", help='How long it keeps once it is open: "12 months".')
@click.option("--leaflet", is_flag=True, help="Put cautions and ingredients on a leaflet.")
@click.option(
    "--not-for-handing-on", "own", is_flag=True, help="For yourself alone: marked so, and may lack what others need."
)
@click.option("--rulers", is_flag=True, help="Draw outlines and rulers, to be held against the sheet.")
@pdf_option("labels")
@common
@date_option("--made", "The day of making")
@day_option("The day of printing")
def labels(
    code: str,
    obtain: str | None,
    into: str | None,
    count: int | None,
    first: int,
    size: str | None,
    opening: str | None,
    leaflet: bool,
    own: bool,
    rulers: bool,
    target: Path | None,
    book: Path,
    made: date | None,
    today: date | None,
) -> int:
    """Print the labels of one batch: of the formula CODE, or one that was made, by its number.

    They stand on the sheet that formulas/workroom.yaml describes under `label sheet:`, or alone with --size. What is
    for skin has its name, use-by, content, cautions, ingredients, batch and who is responsible; a medicine its actives
    besides; an intermediate its code, the day of making and hazards; anything else hazards and cautions.

    There is no label without a use-by, past it, or with an incomplete list of ingredients. The type is as large as
    fits, and never below an x-height of 1.2 mm (0.9 mm on labels below 80 cm2: what EU law asks of food labels, taken
    over here by our own choice). What does not fit is refused, not cut.

    \b
      bookgen labels S-02 --obtain "12 x 50 mL + 5 %"
      bookgen labels S-02 --obtain "12 x 50 mL" --from-field 7      a sheet already begun
      bookgen labels W-01 --size "70 x 40 mm" --made 2026-11-20
      bookgen labels S-02 --obtain "12 x 50 mL" --leaflet --rulers
      bookgen labels S-02-2026-11-29                                as its record says: what was filled, of which lots
    """
    from ..bench import Unknown, weigh_batch
    from ..labelling import NoLabel, after_opening, batch_for_label, full_of_plan, label_sheet, may_have_label
    from ..loose.fields import sheet_of_one
    from ..model import LabelSheet
    from ..pipeline import LabelJob, LabelTooSmall, print_labels
    from ..reckon.labelled import LabelWish
    from ..wording.saying import says

    checked, day = checked_book(book, filed=False), today_or(today)
    try:
        with told_at_the_bench():
            sheet = label_sheet(checked, size, first)
            wish = LabelWish(made=made or day, today=day, after_opening=after_opening(opening), handed_on=not own)
            if code.casefold() in checked.book.batches:
                if obtain is not None or made is not None:
                    raise Unknown(says("label-of-batch", batch=code))
                weighing, wish, filled = batch_for_label(checked, code, wish, into)
            else:
                weighing = weigh_batch(checked, code, obtain, wish.made, into=into)
                filled = full_of_plan(weighing)
            may_have_label(checked, weighing, wish)
            job = LabelJob(
                sheet=sheet if isinstance(sheet, LabelSheet) else sheet_of_one(*sheet),
                alone=not isinstance(sheet, LabelSheet),
                count=count or filled,
                first=first,
                leaflet=leaflet,
                rulers=rulers,
            )
            called = wish.batch or f"{weighing.formula.code or weighing.figures.key}-{wish.made.isoformat()}"
            done = print_labels(checked, weighing, wish, target or Path(f"{called}-labels.pdf"), job)
    except NoLabel as refused:
        say(str(refused), err=True)
        return BOOK_ERRORS
    except LabelTooSmall as reason:
        say(str(NoLabel(weighing, reason.says)), err=True)
        return BOOK_ERRORS
    for sentence in done.problems:
        say(sentence, err=True)
    if not done.written:
        return BOOK_ERRORS
    say(f"Written: {done.written}")
    return 0
