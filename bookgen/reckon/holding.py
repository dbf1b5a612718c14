"""What is said of whether a product holds together, the same for findings, pages and machines.

Enters: `Dissolving` and `Carrying`.  Leaves: sayings.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ..fraction import Fraction
from ..model import AcidityRange, Material
from ..wording.saying import Saying, says
from .carrying import Carrier, Carrying
from .dissolving import HUNDRED, Dissolved, Dissolving, Solute, Together
from .reasons import small


def told_of_dissolving(dissolving: Dissolving) -> Iterator[Saying]:
    """Yield how each substance stands to what dissolves of it, the gravest first, then what wants water together."""
    for solute in dissolving.judged:
        yield told_of_solute(solute)
    if dissolving.together is not None:
        yield told_of_sum(dissolving.together)


def told_of_solute(solute: Solute) -> Saying:
    """Return how a substance stands: how much there is, how much dissolves, and by whose figure."""
    names = small(solute.names)
    if solute.outcome is Dissolved.UNKNOWN and solute.acid:
        return says("acid-unknown", acid=small((solute.acid,))[0], names=names, why=solute.why)
    if solute.outcome is Dissolved.UNKNOWN:
        return says("solute-unknown", names=names, why=solute.why)
    celsius = None if solute.at_c is None else says("solute-at", celsius=solute.at_c)
    solvents, source = tuple(solvent.value for solvent in solute.solvents), _source(solute)
    low, high, (least, most) = solute.low, solute.high, solute.most
    if solute.acid:
        acid, ph, count = small((solute.acid,))[0], _at(solute.ph, solute.pkas), len(names)
        if solute.outcome is Dissolved.CROSSES:
            return says(
                "acid-crosses",
                ph=ph,
                names=names,
                count=count,
                amount=high,
                acid=acid,
                solvents=solvents,
                least=least,
                celsius=celsius,
                source=source,
            )
        return says(
            "acid-beyond" if solute.outcome is Dissolved.BEYOND else "acid-all",
            ph=ph,
            names=names,
            count=count,
            amount=low if solute.outcome is Dissolved.BEYOND else high,
            acid=acid,
            solvents=solvents,
            most=most if solute.outcome is Dissolved.BEYOND else least,
            celsius=celsius,
            source=source,
        )
    if solute.outcome is Dissolved.CROSSES:
        return says(
            "solute-crosses",
            names=names,
            amount=high,
            solvents=solvents,
            least=least,
            celsius=celsius,
            source=source,
        )
    return says(
        "solute-beyond" if solute.outcome is Dissolved.BEYOND else "solute-all",
        names=names,
        amount=low if solute.outcome is Dissolved.BEYOND else high,
        solvents=solvents,
        most=most if solute.outcome is Dissolved.BEYOND else least,
        celsius=celsius,
        source=source,
    )


def told_of_sum(together: Together) -> Saying:
    """Return what wants more water together than there is."""
    return says(
        "solutes-together",
        names=small(name for solute in together.solutes for name in solute.names),
        wants=together.wants,
        there=HUNDRED,
        sources=tuple(dict.fromkeys(_source(solute) for solute in together.solutes)),
    )


def told_of_carrying(carrying: Carrying, materials: Mapping[str, Material]) -> Saying | None:
    """Return what holds oil and water together, or what nothing carries; None where there is nothing to hold."""
    match carrying.by:
        case Carrier.CALLED:
            names = tuple(materials[key].name for key in carrying.carry)
            return says("carried-called", names=names, count=len(names))
        case Carrier.SOAP:
            return says("carried-soap")
        case Carrier.SHAKEN:
            return says("carried-shaken")
        case Carrier.ETHANOL:
            return says("carried-ethanol")
        case Carrier.WATER:
            return says("carried-water" if carrying.floats else "carried-oil")
        case Carrier.GEL:
            return says("carried-gel")
        case Carrier.POWDER:
            return says("carried-powder")
        case None:
            return told_of_apart(carrying, materials) if carrying.apart else None


def told_of_apart(carrying: Carrying, materials: Mapping[str, Material]) -> Saying:
    """Return what nothing carries, and how much of it there is."""
    names = tuple(materials[key].name for key in carrying.apart)
    return says("oil-floats" if carrying.floats else "water-parts", names=names, share=carrying.share, count=len(names))


def _at(ph: AcidityRange | None, pkas: tuple[Fraction, ...]) -> Saying | None:
    if ph is None:
        return None
    of_file = says("at-pka-of-file", pkas=pkas) if pkas else None
    if ph.low.value == ph.high.value:
        return says("at-one-ph", ph=ph.low.text, of_file=of_file)
    return says("at-these-ph", low=ph.low.text, high=ph.high.text, of_file=of_file)


def _source(solute: Solute) -> Saying:
    return says("solute-of-file") if solute.row is None else says("solute-of-table", source=solute.row.source)
