"""The weight of a volume: by the food's own cups and spoons, in proportion to another of them, or by a density.

How a cup is filled moves its weight as well: cut, packed, heaped.
"""

from __future__ import annotations

import re
from dataclasses import replace
from math import log2

from service.core.amount import Amount
from service.core.edible_portion import edible_share, in_its_cover
from service.core.measure import CUTS, Household, measure_kind
from service.core.text import with_article
from service.core.weighed_line import WORKED, Each, Heap, WeighedLine

# From this ratio of the largest to the smallest of its kind on, a vessel tells too little: "a coffee cup".
_ANY_SIZE = 2.3
# How the reason begins where it does, and where the publisher's own volumes contradict each other.
VESSELS_DIFFER = "vessels of this name differ"
ROWS_DIFFER = "the table's measures of this food disagree"


def by_volume(amount: Amount, line: WeighedLine) -> Each | None:
    """One measure of a fixed volume, of the system that the line's words choose (tables/systems.csv)."""
    measures = line.tables.measures
    measure = measures.get(amount.measure)
    if measure is None:
        return None
    reasons: tuple[str, ...] = ()
    system = line.tables.systems.find(measure.name, line.said, any_food=False)
    if system is not None:
        measure = measures.get(amount.measure, system=system.use) or measure
        reasons = (f"read as the {system.use.upper()} {measure.name} of {measure.value:.0f} ml",)
    total = measure.value * amount.middle
    each = by_millilitres(measure.value, measure.name, line, heap=amount.heap, total=total)
    if each is None:
        return None
    if not measure.low == measure.value == measure.high:  # "a teacup" holds 120 to 200 ml
        each = each.times(1, measure.low / measure.value, measure.high / measure.value)
    if measure.high >= measure.low * _ANY_SIZE:
        held = f"{with_article(measure.name)} holds {measure.low:.0f} to {measure.high:.0f} ml"
        reasons = (*reasons, f"{VESSELS_DIFFER}: {held}")
    return replace(each, reasons=(*each.reasons, *reasons)) if reasons else each


def by_millilitres(
    ml: float, unit: str, line: WeighedLine, *, heap: str | None = None, total: float | None = None
) -> Each | None:
    """The weight of `ml` millilitres: by the best of the food's own volume measures, else by the density of its kind.

    `unit` is the measure that says them, `heap` how it is filled, `total` the millilitres of all of them, by default
    `ml`.
    """
    if in_its_cover(line.said) and (covered := _in_shell(ml, unit, line)):
        return covered
    if line.rows.volumes:
        cuts = line.cuts | {"pack"} if heap == "packed" else line.cuts | {"loose"} if heap == "loose" else line.cuts
        return _by_own_volume(ml, unit, line, cuts, total or ml)
    return _by_density(ml, unit, line)


# A cup of nuts in their shells holds air between them too, by which its bounds are wider than those of the shells.
_LOOSER, _TIGHTER = 0.75, 1.15
_COVERS = frozenset({"shell", "shells", "unshelled", "pod", "pods", "hull", "hulls"})


def _in_shell(ml: float, unit: str, line: WeighedLine) -> Each | None:
    """What a cup of nuts in their shells holds to eat: by the publisher's row of it, else the cup less the shells."""
    for row in line.rows.volumes:
        if row.apart and _YIELDS.search(row.text):
            value = row.grams * ml / row.ml
            return Each(value, value * _LOOSER, value * _TIGHTER, "household measure", row.text, True)
    if of_kind := _by_density(ml, unit, line, form=line.said & _COVERS):
        return of_kind
    bought, edible = line.as_purchased, line.tables.edible
    share = edible_share(line.food, line.kin, said=line.said, states=line.states, as_purchased=bought, tables=edible)
    full = _by_own_volume(ml, unit, line, line.cuts, ml) if share and line.rows.volumes else None
    if share is None or full is None:
        return None
    cut = full.times(share.value, share.low * _LOOSER, share.high * _TIGHTER)
    return replace(cut, basis=f"{full.basis}; {share.basis}", reasons=(*full.reasons, share.basis))


# Which row a volume means where the line says no cut; a row without a cut comes before all of them.
_UNSAID = {"whole": 0.9, "chop": 0.8, "section": 0.8, "slice": 0.7, "half": 0.6, "shred": 0.5, "crumble": 0.5}
# Cheese is measured shredded, brown sugar packed and pepper ground unless the recipe says otherwise.
_BY_CUSTOM = (("cheese", "shred"), ("cheese", "crumble"), ("sugar", "pack"), ("pepper", "grind"))
# What is not ground: "1 tsp peppercorns", "pepper corns".
_UNGROUND = frozenset({"peppercorn", "corn"})


def _customary(row: Household, line: WeighedLine) -> bool:
    """Whether a food is measured cut in the row's way where the line does not say how."""
    if not line.tokens.isdisjoint(_UNGROUND):
        return False
    return any(word in line.kin and cut in row.cuts for word, cut in _BY_CUSTOM)


def _fit(row: Household, ml: float, unit: str, line: WeighedLine, cuts: frozenset[str]) -> float:
    fit = 0.8 if row.unit == unit else 0.3 - 0.05 * abs(log2(row.ml / ml))
    if row.cuts:
        if row.cuts & cuts:
            fit += 3.3 if row.cuts & line.exact else 3  # "slivered" before "sliced", which meets it too
        else:
            fit += 0.1 if _customary(row, line) else max(_UNSAID.get(cut, 0.0) for cut in row.cuts) - (3 if cuts else 1)
    if row.marks:
        hits = len(row.marks & line.said)
        fit += 4 * hits - 1.5 * (len(row.marks) - hits)  # more than a cut: "cherry tomatoes, quartered"
    return fit - 10 if row.apart else fit


def _likely(row: Household, cuts: frozenset[str]) -> bool:
    """Whether a volume could mean this row: nobody measures strawberries pureed without saying so."""
    return not row.apart and (not row.cuts or bool(row.cuts & (cuts or _UNSAID.keys())))


def _drained_of_liquid(line: WeighedLine) -> bool:
    """Whether the line drains a tin whose entry counts solids and liquid."""
    return line.drained and "canned" in line.rows.words and not line.rows.words & {"drained", "solid"}


# Cuts that make much more of a food go into a cup, and by how much (SR28 09316: pureed 232 g, whole 144 g).
_CHANGED = frozenset({"mash", "melt", "grind", "crumb", "crush"})
_PUREED = 1.6
_MASHED = "mash"
# What a herb is called that is measured in whole leaves, with much air between.
_LEAVES = frozenset({"leaf", "leaves"})
_PACKINGS = frozenset({"pack", "loose"})
# How a publisher says what a cup in the shell holds to eat.
_YIELDS = re.compile(r"in shell|with hulls")
_CUPFUL = 100.0  # millilitres
# What was sifted before it was measured, as core/part says it: "1 cup sifted flour", but not "1 cup flour, sifted".
_AS_MEASURED = frozenset({"sifted weight"})
_SIFTED = re.compile(r"\bsifted\b")


def _by_own_volume(ml: float, unit: str, line: WeighedLine, cuts: frozenset[str], total: float) -> Each | None:
    if _drained_of_liquid(line) and (solids := _by_density(ml, unit, line)):
        return solids  # the publisher's cup holds the liquid too
    ranked = [(_fit(row, total, unit, line, cuts), -place, row) for place, row in enumerate(line.rows.volumes)]
    fit, _, row = max(ranked, key=lambda item: item[:2])
    if row.apart:
        return _by_density(ml, unit, line)
    value = row.grams * ml / row.ml
    same = row.unit == unit and abs(ml / row.ml - 1) < 0.06
    if same:
        value = row.grams
    near = [other.grams * ml / other.ml for rank, _, other in ranked if rank >= fit - 1 and _likely(other, cuts)]
    met = bool(row.cuts & cuts)
    known = met or not row.cuts or not cuts
    # "1 cup avocado", by a cup of it pureed
    changed = not (row.cuts.isdisjoint(_CHANGED) or met or _customary(row, line))
    misfit = _PUREED if changed else 1.0 if known else 1.2
    low, high = min(value, *near, value / misfit), max(value, *near, value * misfit)
    if changed and _MASHED in row.cuts:  # who means it mashed says so
        value, low, high = value / _PUREED, low * 0.9, high / _PUREED
    if not same:
        low, high = min(low, value * 0.95), max(high, value * 1.05)
    form = _form(row, line, cuts, total)
    if form and (of_form := _by_density(ml, unit, line, form=form)):
        return of_form  # the publisher's cup is of another cut or grain: "kosher salt", "panko", "slivered almonds"
    certain = known and not changed and row.marks <= line.said
    reasons = () if known else ("the tables measure this food cut another way",)
    if row.doubt:
        certain, reasons = False, (*reasons, f"{ROWS_DIFFER}: {row.doubt}")
    rule = "household measure" if same else "scaled volume"
    if "pack" not in cuts:  # heap_of says how far packing moves it
        low, high = _with_kin(ml, low, high, line)
    return Each(value, low, high, rule, row.text, certain, reasons)


def _is_whole_seed(line: WeighedLine) -> bool:
    """Whether seeds are named that the entry has ground: "1 tsp mustard seeds", but not "1 tsp ground mustard seed"."""
    return line.head == "seed" and "ground" in line.rows.words and "grind" not in line.cuts


def _form(row: Household, line: WeighedLine, cuts: frozenset[str], total: float) -> frozenset[str]:
    """What a line says of the cut or grain of its food that the publisher's volume is not of."""
    described = line.food.description.lower()  # what it is commonly called may be one shape of several: "macaroni"
    form = frozenset([word for word in line.tokens if word not in line.rows.words or word not in described])
    met = bool(row.cuts & cuts)
    form = form - WORKED.keys() if met else form | cuts - {CUTS.get(word, "") for word in line.rows.words}
    if "loose" in row.cuts and "loose" not in cuts:
        form |= cuts  # "1 cup chopped kale" is none of loose pieces
    if cuts <= _PACKINGS:
        form |= line.said & _LEAVES
    if not cuts and total >= _CUPFUL > max(row.ml for row in line.rows.volumes):
        form |= _LEAVES  # "1 cup mint", of which the table has a spoonful, chopped and pressed
    sifted = line.said & _AS_MEASURED
    if sifted and not any(_SIFTED.search(row.text) for row in line.rows.volumes):
        form |= sifted
    return form | {"whole"} if _is_whole_seed(line) else form


def _with_kin(ml: float, low: float, high: float, line: WeighedLine) -> tuple[float, float]:
    """The bounds of a volume with those of the kin of its food, where their volumes of the same form differ."""
    cup = line.tables.measures.get("cup")
    said = line.said | (line.exact & {"crush", "whole"})
    kin = line.tables.pieces.find("bounds:cup", line.kin, said=said, any_food=False)
    if cup is None or kin is None:
        return low, high
    return min(low, kin.low * ml / cup.value), max(high, kin.high * ml / cup.value)


def _by_density(ml: float, unit: str, line: WeighedLine, *, form: frozenset[str] | None = None) -> Each | None:
    """The weight by the density of its kind; with `form` only where a row is of one of these words or cuts."""
    said = line.cuts | line.states | line.tokens | (line.said & (_LEAVES | _AS_MEASURED)) | (form or frozenset())
    row = line.tables.densities.find("", line.kin, said=said)
    if row is None:
        return None
    if form is not None and not (row.said & form or row.words & form & WORKED.keys()):
        return None
    basis = f"1 ml = {row.value:g} g, {row.use} ({row.source})"
    missing = "this food" if form is None else "this form of the food"
    reason = f"the tables have no volume of {missing}; weighed as {row.use}"
    return Each(ml * row.value, ml * row.low, ml * row.high, "density", basis, False, (reason,))


def heap_of(amount: Amount, line: WeighedLine) -> Heap | None:
    """How far "heaped", "scant", "packed" move the measure (tables/heaps.csv); None where a household measure says."""
    kind = measure_kind(amount)
    rows = _packed_rows(line)
    if kind in ("weight", "none") or (amount.heap in ("packed", "loose") and ("pack" in rows or _is_limp(line))):
        return None
    used = {"pinch": "spoon"}.get(kind, kind) if kind in ("pinch", "spoon", "cup") else "other"
    said, heaps = amount.heap or "", line.tables.heaps
    heap = heaps.get((said, kind)) or heaps.get((said, used))
    loose = line.tables.heaps.get(("loose", used))
    if amount.heap == "packed" and heap and loose and all("loose" in row.cuts for row in line.rows.volumes):
        return heap.over(loose)  # the table's cup is a loose one
    return heap


def _is_limp(line: WeighedLine) -> bool:
    """Whether leaves or vegetables are cooked, which lie close in a cup by themselves."""
    return "cooked" in line.rows.words and line.food.group_name.startswith("Vegetables")


def _packed_rows(line: WeighedLine) -> frozenset[str]:
    """The packings that the food has household measures for; these answer "packed" themselves."""
    return frozenset(cut for row in line.rows.volumes for cut in row.cuts)
