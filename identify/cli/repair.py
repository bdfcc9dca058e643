"""``threadwright repair``: plan the bush for a stripped hole."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from threadwright.cli import DONE, NOT_ALL
from threadwright.cli.completion import file_names, thread_names

if TYPE_CHECKING:
    from threadwright.job import Job
    from threadwright.repair.plan import Alternative, BushPlan
    from threadwright.repair.route import Route
    from threadwright.repair.settle import CandidatePlan, RepairPlan
    from threadwright.repair.torque import ClampTorque

__all__ = ["repair"]

# option: section and key of the job
_OPTIONS = {
    "parent": ("parent", "material"),
    "depth": ("hole", "depth"),
    "boss": ("parent", "boss"),
    "edge": ("hole", "edge"),
    "beyond": ("hole", "beyond"),
    "bolt_grade": ("screw", "grade"),
    "clamp": ("screw", "clamp"),
    "bush_material": ("bush", "material"),
}
_FLAGS = {place: f"--{name.replace('_', '-')}" for name, place in _OPTIONS.items()}
_LOADS = (
    ("screw", "the screw breaks at"),
    ("parent_strip", "the thread in the part strips at"),
    ("bush_outer_strip", "the bush's outer thread strips at"),
    ("bush_inner_strip", "the bush's inner thread strips at"),
)
_MOST_ROUTES = 3
_MOST_ADMITTED = 4
_MOST_REFUSED = 3


@click.command(
    epilog="""\b
Metals: cast aluminium, cast iron, SG iron, zinc die casting, magnesium,
bronze, brass, steel and others. Grades: 8.8, SAE grade 5, grade R, unmarked,
wrought iron.

\b
Example:
  threadwright repair M8 --parent "cast aluminium" --depth "25 mm"
  threadwright repair --job samples/press-ink-disc-bracket.toml --sheet b.pdf
"""
)
@click.argument("designation", nargs=-1, metavar="[DESIGNATION]", shell_complete=thread_names)
@click.option(
    "--job",
    "job_path",
    metavar="FILE.toml",
    shell_complete=file_names,
    help="The whole repair from a job file; readings allowed.",
)
@click.option("--parent", metavar="METAL", help="Metal of the part.")
@click.option("--depth", metavar="LENGTH", help="Depth that the bush may fill, from the face.")
@click.option("--boss", metavar="LENGTH", help="Outside diameter of a round boss about the hole.")
@click.option("--edge", metavar="LENGTH", help="Hole's centre to the nearest edge.")
@click.option(
    "--beyond",
    metavar="WORD",
    help="Beyond its floor or a thin wall: oil, water, steam, compressed air or gas  [default: nothing]",
)
@click.option("--bolt-grade", metavar="GRADE", help="Grade of the screw  [default: unmarked]")
@click.option("--clamp", metavar="LOAD", help='Clamp load asked for, like "6 kN".')
@click.option("--bush-material", metavar="METAL", help="Metal of the bush  [default: free-cutting steel]")
@click.option(
    "--drawer",
    "drawer_path",
    metavar="FILE.toml",
    shell_complete=file_names,
    help="Taps and dies at hand: lists taps and dies.",
)
@click.option(
    "--routes",
    "most_routes",
    metavar="COUNT|all",
    help="How many ways to repair the hole are told in full; with it the other ways are shown even where no "
    "bush fits  [default: 3]",
)
@click.option(
    "--sheet", "sheet_path", metavar="OUT.pdf", help="Draw bush and hole: OUT.pdf, OUT.svg or OUT.dxf."
)
@click.option("--json", "as_json", is_flag=True, help="JSON, lengths in mm, loads in kN.")
def repair(
    *,
    designation: tuple[str, ...],
    job_path: str | None,
    drawer_path: str | None,
    most_routes: str | None,
    sheet_path: str | None,
    as_json: bool,
    **given: str | None,
) -> int:
    """Plan the repair of a stripped hole: the ways to do it, and the bush with its wall, drills and loads.

    DESIGNATION is the thread that the hole is to have again, such as M8x1.25 or "3/8 BSF".
    """
    from threadwright.cli import format
    from threadwright.cli.look_alike import look_alike_entries
    from threadwright.job import plan_job
    from threadwright.repair.drawer import read_drawer

    if sheet_path is not None:
        from threadwright.sheet.write import check_ending

        check_ending(sheet_path)
    job = _job(" ".join(designation), job_path, given)
    most = _most(most_routes, job)
    drawer = None if drawer_path is None else read_drawer(drawer_path)
    answer = plan_job(job, drawer=drawer, keep_refusal=most_routes is not None)
    if sheet_path is not None and answer.leading is not None:
        _draw(answer, job, sheet_path)
    if as_json:
        deceivers = {"look_alikes": look_alike_entries(_holes(answer), "internal")}
        click.echo(format.as_json(answer.to_dict() | deceivers))
    else:
        click.echo("\n".join(_lines(answer, job, most)))
    return DONE if answer.leading is not None or any(one.offered for one in answer.routes) else NOT_ALL


def _most(text: str | None, job: Job) -> int | None:
    """How many routes are told in full; None for all of them."""
    if text is None:
        return _MOST_ROUTES if job.bush.routes is None else job.bush.routes
    if text.lower() == "all":
        return None
    if not text.isdecimal() or not text.isascii() or len(text) > 2:
        raise click.UsageError(
            f"--routes: cannot read {text[:20]!r}; write a count like 3, or all", click.get_current_context()
        )
    return int(text)


def _draw(answer: RepairPlan, job: Job, path: str) -> None:
    """Write the sheet of the leading plan."""
    from threadwright.cli import VERSION
    from threadwright.sheet.bush import compose
    from threadwright.sheet.drawing import Title
    from threadwright.sheet.from_plan import bush_drawing
    from threadwright.sheet.write import write_sheet

    plan, wish = answer.leading, job.sheet
    assert plan is not None
    title = Title(
        part=job.parent.part or "",
        bush_material=plan.bush.material,
        parent_material=plan.parent,
        date=wish.date,
        drawn_by=wish.drawn_by,
        number=wish.number,
        made_with=f"threadwright {VERSION}",
    )
    drawing = bush_drawing(
        answer,
        title=title,
        through=job.hole.through,
        boss_mm=job.parent.boss,
        floor_mm=job.hole.floor,
        unit=wish.unit,
        paper=wish.paper,
    )
    write_sheet(compose(drawing), path)


def _job(designation: str, job_path: str | None, given: dict[str, str | None]) -> Job:
    """The job, from its file or from the options."""
    from threadwright.job import job_from_tables, read_job

    named = {name: value for name, value in given.items() if value is not None}
    context = click.get_current_context()
    if job_path is not None:
        if designation or named:
            extra = designation or _FLAGS[_OPTIONS[next(iter(named))]]
            raise click.UsageError(
                f"--job holds the whole repair; leave out {extra}, or write it into the file", context
            )
        return read_job(job_path)
    if not designation:
        raise click.UsageError(
            "no thread and no job; name the thread, like M8x1.25, or give --job FILE.toml", context
        )
    tables: dict[str, dict[str, Any]] = {"fastener": {"designation": designation}}
    for name, value in named.items():
        section, key = _OPTIONS[name]
        tables.setdefault(section, {})[key] = value
    return job_from_tables(tables, where=lambda section, key: _FLAGS.get((section, key), key or section))


def _lines(answer: RepairPlan, job: Job, most: int | None) -> list[str]:
    """The whole plan as a person reads it."""
    from threadwright.cli.format import heading, paragraph
    from threadwright.cli.identify_command import identification_lines
    from threadwright.cli.look_alike import look_alike_lines

    lines: list[str] = []
    if answer.identification is not None:
        lines += [*identification_lines(answer.identification), ""]
    if not answer.plans:
        return [
            *lines,
            paragraph("No bush is planned for a thread that has no name. Measure again, or name the thread."),
        ]
    if answer.identification is not None and not answer.identification.settled:
        lines += [*_decisions(answer), ""]
    lines += _routes(answer.routes, most, worked=_worked_out(answer))
    for one in answer.plans:
        lines += [*_one_plan(one, several=len(answer.plans) > 1), ""]
    lines += [*_making(answer), ""] if job.from_file else []
    lines += [heading("Taken for this plan"), *_bullets(_union(answer, "assumptions"))]
    if job.noted:
        lines.append(paragraph(f"Given, without a bearing on this plan: {', '.join(job.noted)}.", first="- "))
    deceivers = look_alike_lines(_holes(answer), "internal")
    return [*lines, "", heading("Cautions"), *_bullets(_union(answer, "cautions") + deceivers)]


def _holes(answer: RepairPlan) -> list[str]:
    """The threads that the hole may get again, with their hand."""
    return [one.designation for one in answer.plans]


def _worked_out(answer: RepairPlan) -> str | None:
    """Key of the way that is worked out below."""
    plan = answer.leading
    if plan is None or plan.making is None:
        return None
    return "collar bush" if plan.making.locating.register.kind == "collar" else "plain bush"


def _routes(routes: tuple[Route, ...], most: int | None, *, worked: str | None) -> list[str]:
    """The ways to repair the hole, best first."""
    from threadwright.cli.format import heading, paragraph

    if most == 0:
        return []
    offered = [one for one in routes if one.offered]
    refused = [one for one in routes if not one.offered]
    lines = [heading("Ways to repair the hole, best first")]
    first = next((one.first for one in offered if one.first is not None), None)
    if first is not None:
        lines.append(paragraph(f"{first[0].upper()}{first[1:]}.", first="  First: "))
    for number, one in enumerate(offered[:most], 1):
        below = " Worked out below." if one.key == worked else ""
        lines.append(paragraph(f"{one.name}: {one.sentence}{below}", first=f"  {number}  "))
    if most is None:
        lines += [paragraph(f"{one.name}: {one.sentence}", first="  -  ") for one in refused]
        return [*lines, ""]
    more = "; ".join(
        f"{one.name}, worked out below" if one.key == worked else one.name for one in offered[most:]
    )
    lines += [paragraph(f"Also: {more}.", first="  ")] if more else []
    names = "; ".join(one.name for one in refused)
    return [*lines, paragraph(f"Not here ({names}): --routes all says why.", first="  "), ""]


def _bullets(texts: list[str]) -> list[str]:
    from threadwright.cli.format import paragraph

    return [paragraph(text, first="- ") for text in texts]


def _union(answer: RepairPlan, name: str) -> list[str]:
    """What all plans say, each thing once."""
    return list(dict.fromkeys(text for one in answer.plans if one.plan for text in getattr(one.plan, name)))


def _decisions(answer: RepairPlan) -> list[str]:
    """What may be cut now, and what is NOT SETTLED."""
    from threadwright.cli.format import heading, paragraph

    ready = [f"{one.name} {one.wanted[0][1]}" for one in answer.decisions if one.settled]
    lines = [heading("What may be cut now")]
    lines.append(paragraph(", ".join(ready) or "nothing", first="  "))
    for one in answer.decisions:
        if not one.settled:
            wanted = ", ".join(
                f"{value} for {name}" if value != name else value for name, value in one.wanted
            )
            lines.append(heading(paragraph(f"{one.name}: {wanted}", first="NOT SETTLED  ")))
    if answer.settle_by is not None and not answer.settled:
        lines.append(paragraph(f"To settle it, {answer.settle_by.action}."))
    return lines


def _one_plan(one: CandidatePlan, *, several: bool) -> list[str]:
    from threadwright.cli.format import columns, heading, paragraph, share

    if one.plan is None:
        return [
            heading(f"If it is {one.designation} ({share(one.probability)})"),
            paragraph(f"No bush: {one.refused_because}."),
        ]
    plan, bush, outer = one.plan, one.plan.bush, one.plan.bush.outer_thread
    title = f"Bush for {plan.inner_thread} in {plan.parent}: outer thread {outer.designation}"
    lines = [
        heading(
            f"If it is {one.designation} ({share(one.probability)}): {title[0].lower()}{title[1:]}"
            if several
            else title
        )
    ]
    rows = [
        ("bush", f"{outer.designation} outside, {plan.inner_thread} inside, {bush.length_mm:g} mm long"),
        ("metal", bush.material),
        ("wall", f"{bush.wall_mm:.3f} mm at the worst limits; {bush.least_wall_mm:.2f} mm is the least"),
        ("", _other_walls(plan)),
        ("engagement", f"{bush.outer_engaged_mm:.1f} mm outside, {bush.inner_engaged_mm:.1f} mm inside"),
        ("drill the part", _drill(outer.tapping_drill_mm, outer.hole_minor_mm)),
        ("drill the bush", f"{bush.inner_tapping_drill_mm:.2f} mm"),
        ("cut with", f"{_tap(outer.tap)} for the hole, {outer.cut_by} for the bush"),
    ]
    loads = plan.loads.to_dict()
    lines += columns(rows)
    lines += columns([(text, _load(loads[name])) for name, text in _LOADS], right=[1])
    lines.append(paragraph(f"Verdict: {plan.verdict}. {plan.because[0].upper()}{plan.because[1:]}."))
    if plan.torque is not None:
        lines.append(paragraph(_clamp(plan.torque, plan.torque_asked)))
    return [*lines, *_work(plan), *_front(plan), *_alternatives(plan)]


def _other_walls(plan: BushPlan) -> str:
    """The wall at basic sizes, and behind a collar that at an undercut."""
    walls = plan.work.walls
    text = f"{walls.root_basic:.3f} mm at basic sizes"
    behind = plan.making is not None and plan.making.locating.relief is not None
    return f"{text}, {walls.undercut_worst:.3f} mm at an undercut" if behind else text


def _clamp(most: ClampTorque, asked: ClampTorque | None) -> str:
    """The clamp load and its torque."""
    turn = most if asked is None else asked
    torque = f"about {turn.dry_Nm:.1f} N m dry, {turn.oiled_Nm:.1f} N m oiled"
    if asked is None:
        return f"Clamp it with at most {most.clamp_kN:.1f} kN: {torque}."
    return f"Clamp it with the {asked.clamp_kN:.1f} kN asked for: {torque}; at most {most.clamp_kN:.1f} kN."


def _making(answer: RepairPlan) -> list[str]:
    """Sizes, operations and fixing; not while the thread to be cut is in doubt."""
    from threadwright.cli.format import heading, paragraph
    from threadwright.cli.making import making_lines

    leading = answer.leading
    if leading is None or leading.making is None:
        return []
    if not answer.settled:
        text = "they wait until the thread is settled; --json has them for each thread."
        return [heading(paragraph(text, first="Sizes, operations and fixing: "))]
    return making_lines(leading.making)[1:]


def _work(plan: BushPlan) -> list[str]:
    """Corrected strips, torques, and the metal left round the bush."""
    from threadwright.cli.format import paragraph

    lines = []
    if plan.corrected.parent_strip is not None and plan.corrected.least is not None:
        least = plan.corrected.least
        lines.append(f"Corrected for bell mouth, dilation and bending the least strip is {least:.1f} kN.")
    lines.append(
        f"Cutting with a worn tool takes up to {plan.work.tapping.worn_Nm:.1f} N m in the part and "
        f"{plan.work.die.worn_Nm:.1f} N m on the bush, whose bar the jaws must hold with "
        f"{plan.work.grip_kN:.1f} kN in all: it grows with the pitch squared, and a coarse thread spins in "
        "them."
    )
    if plan.work.metal_round_mm is not None:
        lines.append(f"{plan.work.metal_round_mm:.1f} mm of metal is left beside the bush.")
    if plan.boss_hoop_MPa is not None:
        lines.append(f"The flanks stretch the rim of the hole with {plan.boss_hoop_MPa:.0f} MPa.")
    turned = f"{plan.work.hand[0].upper()}{plan.work.hand[1:]}."
    if "left" in turned and turned not in plan.cautions:
        lines.append(turned)
    return [paragraph(" ".join(lines))]


def _front(plan: BushPlan) -> list[str]:
    """The next two threads that no other beats, and what they lose and gain."""
    from threadwright.cli.format import paragraph

    if not plan.front.following:
        return []
    lines = [f"Next to {plan.front.pick.designation}, of {plan.front.size} threads that no other beats:"]
    for one in plan.front.following:
        loses = "; ".join(one.loses_by)
        text = f"{one.designation} loses: {loses}; gains: {'; '.join(one.gains)}"
        lines.append(paragraph(text, first="  "))
    return lines


def _drill(drill_mm: float, minor_mm: tuple[float, float]) -> str:
    return f"{drill_mm:.2f} mm; the bored hole may be {minor_mm[0]:.3f} to {minor_mm[1]:.3f} mm"


def _tap(tap: str) -> str:
    return {"drawer": "a tap from the drawer", "usual": "a usual tap", "special": "a special tap"}[tap]


def _load(value: object) -> str:
    return f"{value:.1f} kN" if isinstance(value, float) else "no strength may be assumed"


def _alternatives(plan: BushPlan) -> list[str]:
    """The nearest threads that lost, and why."""
    from threadwright.cli.format import paragraph

    admitted = [one for one in plan.alternatives if one.refused_because is None]
    refused = sorted((one for one in plan.alternatives if one.refused_because is not None), key=_thinness)
    shown = [*admitted[:_MOST_ADMITTED], *refused[:_MOST_REFUSED]]
    if not shown:
        return []
    size = max(len(one.designation) for one in shown)
    lines = ["Why not another thread:"]
    for one in shown:
        reason = f"refused: {one.refused_because}" if one.loses_by is None else f"loses: {one.loses_by}"
        reason += f"; {one.relief}, and it fits" if one.relief is not None else ""
        lines.append(paragraph(reason, first=f"  {one.designation:<{size}}  "))
    more = len(plan.alternatives) - len(shown)
    return [*lines, f"  {more} more with --json."] if more else lines


def _thinness(one: Alternative) -> float:
    return -one.wall_mm
