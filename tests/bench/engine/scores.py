"""The table's lines that come from the cells: coverage, and the forecast's score against other ways."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import chain

import numpy as np

from tests.bench.engine import cells
from tests.bench.engine.bounds import Bound, geometric
from tests.bench.engine.cells import OLS, THEIL_SEN, THEIL_SEN_READING, Cell
from tests.bench.engine.table import Row, Run
from tests.simulated.physics import Bools, Floats

LOW, HIGH = 0.92, 0.98
WORST = 40.0
_SHOWN = 12


def all_cells(run: Run) -> list[Cell]:
    """Every cell, simulated and asked once a run."""
    if "cells" not in run.kept:
        sizes = run.sizes
        jobs = cells.jobs(run.seed, sizes.clocks, sizes.straight, sizes.trend)
        run.kept["cells"] = list(chain.from_iterable(run.over(cells.run, jobs)))
    kept = run.kept["cells"]
    assert isinstance(kept, list)
    return kept


def by_logging(run: Run, row_of: Callable[[Run, list[Cell], str], Row]) -> list[Row]:
    """One row where the temperature is logged, one where not."""
    told = all_cells(run)
    return [
        row_of(run, [c for c in told if c.job.thermometer], "logged"),
        row_of(run, [c for c in told if not c.job.thermometer], "not logged"),
    ]


def coverage(run: Run) -> list[Row]:
    """(a) the mean rate and (b) the reading a week ahead."""

    def rate_row(run: Run, told: list[Cell], how: str) -> Row:
        row = coverage_row(run.bound, told, f"(a) mean rate, temperature {how}", "rate")
        lines = [float(cell.straight_rate_held.mean()) for cell in told]
        line = f"the slope's interval by OLS on the same readings: {min(lines):.0%} to {max(lines):.0%}, all "
        return replace(row, details=(*row.details, f"{line}{np.mean(lines):.0%}"))

    rows = by_logging(run, rate_row)
    ahead = by_logging(
        run, lambda r, told, how: coverage_row(r.bound, told, f"(b) 7 days ahead, temperature {how}", "ahead")
    )
    return rows + ahead


def coverage_row(bound: Bound, told: list[Cell], what: str, name: str) -> Row:
    """How often the interval held, in the worst cells either way."""
    held: list[tuple[float, Cell, Bools, Floats]] = []
    for cell in told:
        hits: Bools = cell.rate_held if name == "rate" else cell.ahead_held
        held.append((float(hits.mean()), cell, hits, cell.rate_side if name == "rate" else cell.ahead_side))
    out = [
        (share, cell, side)
        for share, cell, hits, side in held
        if not bound.at_least(int(hits.sum()), len(hits), LOW) or not bound.at_most(int(hits.sum()), len(hits), HIGH)
    ]
    out.sort(key=lambda item: item[0])
    shares = [share for share, *_ in held]
    n = len(held[0][2])
    details = [
        f"{share:.1%}  {cell.name}: {np.mean(side < 0):.1%} below, {np.mean(side > 0):.1%} above"
        + (f", {cell.unknown} unknown" if cell.unknown else "")
        for share, cell, side in out
    ]
    if len(details) > _SHOWN:
        details = [*details[:_SHOWN], f"and {len(details) - _SHOWN} more"]
    size = f"{len(held)} cells x {n} clocks"
    if bound.quick:
        size += f", a cell passes from {bound.fewest(n, LOW)} to {bound.most(n, HIGH)} held"
    return Row(
        line=f"coverage {what}",
        figure=f"{min(shares):.1%} to {max(shares):.1%}, all {np.mean(shares):.1%}",
        goal="92-98 % in every cell",
        reached=not out,
        size=size,
        missed_by=f"{len(out)} of {len(held)} cells outside",
        details=tuple(details),
    )


def score_row(
    run: Run, told: list[Cell], what: str, *, mean: float, most: float, theirs: Callable[[Cell], Floats]
) -> Row:
    """The interval score against another way: the geometric mean over cells, and the worst cell."""
    pairs = [(cell, theirs(cell)) for cell in told]
    ours = [cell.score[: len(other)] for cell, other in pairs]
    others = [other for _, other in pairs]
    ratios = [float(a.mean() / b.mean()) for a, b in zip(ours, others, strict=True)]
    whole = run.bound.ratio_within(ours, others, mean)
    over = [
        (ratio, cell)
        for ratio, (cell, other), mine in zip(ratios, pairs, ours, strict=True)
        if ratio > most and not run.bound.ratio_within([mine], [other], most, looks=len(told))
    ]
    over.sort(key=lambda item: -item[0])
    missing = [f"mean by {geometric(ratios) - mean:.2f}"] if not whole else []
    missing += [f"{len(over)} of {len(told)} cells over"] if over else []
    return Row(
        line=f"score against {what}",
        figure=f"mean {geometric(ratios):.2f}, worst cell {max(ratios):.2f}",
        goal=f"mean <= {mean:g}, no cell over {most:g}",
        reached=whole and not over,
        size=f"{len(told)} cells x {len(others[0])} clocks",
        missed_by=", ".join(missing),
        details=tuple(f"{ratio:.2f}  {cell.name}" for ratio, cell in over[:_SHOWN]),
    )


def straight(run: Run) -> list[Row]:
    """Against the better of least squares and Theil-Sen in each cell.

    Beneath: what the oracle would get, and both against a Theil-Sen whose interval we have made a reading's.
    """

    def row(run: Run, told: list[Cell], how: str) -> Row:
        one = score_row(run, told, f"straight lines, temperature {how}", mean=0.45, most=0.90, theirs=better_line)
        ours, best = _means(told, better_line)
        ours_too, best_too = _means(told, better_reading)
        more = (
            f"the oracle gets {best:.2f}; where Theil-Sen's interval is widened to a reading's: "
            f"the engine {ours_too:.2f}, the oracle {best_too:.2f} (the engine on these clocks {ours:.2f})"
        )
        return replace(one, details=(*one.details, more))

    return by_logging(run, row)


def _means(told: list[Cell], theirs: Callable[[Cell], Floats]) -> tuple[float, float]:
    """Geometric means over cells of the engine's and the oracle's score against `theirs`, on the same clocks."""
    pairs = [(cell, theirs(cell)) for cell in told]
    ours = geometric([float(c.score[: len(other)].mean() / other.mean()) for c, other in pairs])
    return ours, geometric([float(c.oracle[: len(other)].mean() / other.mean()) for c, other in pairs])


def better_line(cell: Cell) -> Floats:
    """The scores of that straight line which does better in this cell, each with its library's own interval."""
    return min((cell.straight[OLS], cell.straight[THEIL_SEN]), key=lambda scores: float(scores.mean()))


def better_reading(cell: Cell) -> Floats:
    """The same with Theil-Sen's interval widened to a reading's."""
    return min((cell.straight[OLS], cell.straight[THEIL_SEN_READING]), key=lambda scores: float(scores.mean()))


def trend(run: Run) -> list[Row]:
    """Against a local linear trend whose noises are fitted to the readings."""
    return by_logging(
        run,
        lambda r, told, how: score_row(
            r, told, f"fitted trend, temperature {how}", mean=0.5, most=0.90, theirs=lambda c: c.trend
        ),
    )


def oracle(run: Run) -> list[Row]:
    """Against a filter that knows what nobody can."""
    return by_logging(
        run,
        lambda r, told, how: score_row(
            r, told, f"an oracle, temperature {how}", mean=1.15, most=1.30, theirs=lambda c: c.oracle
        ),
    )


def worst(run: Run) -> list[Row]:
    """The worst single score in a cell against the cell's median.

    Clocks whose last two readings are both blunders are left out and told beneath: until a clean reading comes, equal
    ones are hands that were set, for anyone.
    """
    told = all_cells(run)
    worst_of = [(float(c.score[~c.misled].max() / np.median(c.score)), c) for c in told]
    ratios = sorted(worst_of, key=lambda item: -item[0])
    over = [(ratio, cell) for ratio, cell in ratios if ratio > WORST]
    misled = [float(score / np.median(c.score)) for c in told for score in c.score[c.misled]]
    left_out = f"left out, their last two readings blunders: {len(misled)}, the worst {max(misled, default=0):.0f} x"
    return [
        Row(
            line="worst single score against its cell's median",
            figure=f"{ratios[0][0]:.0f} x",
            goal=f"<= {WORST:g} x",
            reached=not over,
            size=f"{len(ratios)} cells x {len(ratios[0][1].score)} clocks",
            missed_by=f"{len(over)} of {len(ratios)} cells over",
            details=(*(f"{ratio:.0f} x  {cell.name}" for ratio, cell in over[:_SHOWN]), left_out),
        )
    ]
